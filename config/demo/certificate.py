"""A certificate for the demo in a building: phones run an installed app over TLS only.

An authority that lives as long as its directory signs one certificate for this machine's names.
A phone that trusts the authority trusts the pages; its key never leaves this machine.
"""

import ipaddress
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

VALID = timedelta(days=90)
CURVE = ec.SECP256R1()


@dataclass(frozen=True, slots=True)
class TlsFiles:
    """PEM files: what a phone is to trust, what the server shows, and the server's key."""

    authority: Path
    certificate: Path
    key: Path


def certificate_files(directory: Path, names: Sequence[str]) -> TlsFiles:
    """Make the certificate for these host names and addresses; keep the authority, if one is there.

    The authority's own key is kept beside it, readable by its owner alone.
    """
    directory.mkdir(mode=0o700, parents=True, exist_ok=True)
    files = TlsFiles(*(directory / f"{name}.pem" for name in ("authority", "server", "server-key")))
    authority, signing_key = _authority(files.authority, directory / "authority-key.pem")
    key = ec.generate_private_key(CURVE)
    certificate = (
        _begun("Tierwright demo", key, authority.subject)
        .add_extension(x509.SubjectAlternativeName([_name(name) for name in names]), False)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), False)
        .sign(signing_key, hashes.SHA256())
    )
    files.certificate.write_bytes(certificate.public_bytes(serialization.Encoding.PEM))
    _write_key(files.key, key)
    return files


def _authority(path: Path, key_path: Path) -> tuple[x509.Certificate, ec.EllipticCurvePrivateKey]:
    if path.exists() and key_path.exists():
        kept = x509.load_pem_x509_certificate(path.read_bytes())
        key = serialization.load_pem_private_key(key_path.read_bytes(), password=None)
        if kept.not_valid_after_utc > datetime.now(UTC) and isinstance(
            key, ec.EllipticCurvePrivateKey
        ):
            return kept, key
    key = ec.generate_private_key(CURVE)
    name = "Tierwright demo authority"
    made = (
        _begun(name, key, _subject(name))
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), True)
        .sign(key, hashes.SHA256())
    )
    path.write_bytes(made.public_bytes(serialization.Encoding.PEM))
    _write_key(key_path, key)
    return made, key


def _begun(
    name: str, key: ec.EllipticCurvePrivateKey, issuer: x509.Name
) -> x509.CertificateBuilder:
    now = datetime.now(UTC)
    return (
        x509.CertificateBuilder()
        .subject_name(_subject(name))
        .issuer_name(issuer)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - timedelta(hours=1))
        .not_valid_after(now + VALID)
    )


def _subject(name: str) -> x509.Name:
    return x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, name)])


def _name(text: str) -> x509.GeneralName:
    try:
        return x509.IPAddress(ipaddress.ip_address(text))
    except ValueError:
        return x509.DNSName(text)


def _write_key(path: Path, key: ec.EllipticCurvePrivateKey) -> None:
    path.touch(mode=0o600)
    path.write_bytes(
        key.private_bytes(
            serialization.Encoding.PEM,
            serialization.PrivateFormat.PKCS8,
            serialization.NoEncryption(),
        )
    )
