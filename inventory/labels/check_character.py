"""The check character of ISO 7064, MOD 37,36: a wrong digit or letter is always noticed."""

ALPHABET = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ"
_SIZE = len(ALPHABET)


def check_character(said: str) -> str:
    """Give the character that belongs behind a text.

    Only digits and letters count, capital or small alike; dots and dashes are passed over.
    The system is hybrid: ISO 7064:2003, clause 9.
    """
    product = _SIZE
    for sign in said.upper():
        if sign in ALPHABET:
            total = (product + ALPHABET.index(sign)) % _SIZE or _SIZE
            product = total * 2 % (_SIZE + 1)
    return ALPHABET[(_SIZE + 1 - product) % _SIZE]
