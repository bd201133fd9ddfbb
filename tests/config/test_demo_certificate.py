"""The demo's certificate, judged by Python's own TLS: who trusts the authority trusts the pages."""

import socket
import ssl
import threading
from pathlib import Path

import pytest

from config.demo.certificate import TlsFiles, certificate_files
from config.demo.site import Site, lan_names

NAMES = ("localhost", "127.0.0.1", "192.0.2.7")


def _handshake(files: TlsFiles, authority: Path, name: str) -> None:
    """Connect as a phone would; raises where the phone would warn."""
    server = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    server.load_cert_chain(files.certificate, files.key)
    phone = ssl.create_default_context(cafile=str(authority))
    ours, theirs = socket.socketpair()
    with ours, theirs:
        shown = threading.Thread(target=_show, args=(server, ours))
        shown.start()
        try:
            phone.wrap_socket(theirs, server_hostname=name).close()
        finally:
            theirs.close()
            shown.join()


def _show(server: ssl.SSLContext, line: socket.socket) -> None:
    try:
        server.wrap_socket(line, server_side=True).close()
    except (ssl.SSLError, OSError):
        return


@pytest.mark.parametrize("name", NAMES)
def test_a_phone_that_trusts_the_authority_trusts_every_name(tmp_path: Path, name: str) -> None:
    files = certificate_files(tmp_path / "tls", NAMES)
    _handshake(files, files.authority, name)


def test_another_name_is_not_trusted(tmp_path: Path) -> None:
    files = certificate_files(tmp_path / "tls", NAMES)
    with pytest.raises(ssl.SSLCertVerificationError):
        _handshake(files, files.authority, "192.0.2.8")


def test_the_authority_is_kept_and_another_is_not_trusted(tmp_path: Path) -> None:
    first = certificate_files(tmp_path / "tls", NAMES)
    authority = first.authority.read_bytes()
    again = certificate_files(tmp_path / "tls", NAMES)
    assert again.authority.read_bytes() == authority
    _handshake(again, first.authority, "localhost")
    other = certificate_files(tmp_path / "other", NAMES)
    with pytest.raises(ssl.SSLCertVerificationError):
        _handshake(again, other.authority, "localhost")


def test_keys_are_for_their_owner_alone(tmp_path: Path) -> None:
    files = certificate_files(tmp_path / "tls", NAMES)
    keys = [files.key, tmp_path / "tls" / "authority-key.pem"]
    assert [key.stat().st_mode & 0o777 for key in keys] == [0o600, 0o600]


def test_a_site_has_an_address_for_the_building_only_when_asked() -> None:
    assert Site(8000).home == "http://localhost:8000"
    assert Site(8000).listen == "127.0.0.1"
    site = Site(8000, lan_names())
    assert site.home.startswith("https://")
    assert {"localhost", site.names[0]} <= set(site.hosts)
