"""Two sides of a TLS connection in memory, verified by OpenSSL as a tablet's browser would."""

import ssl
from contextlib import suppress
from pathlib import Path

from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec

from app.lan.certificate import Authority, issue


def refusal(authority_pem: str, server: ssl.SSLContext, host: str) -> str:
    """Why a client that trusts one authority refuses a server under a name or address; empty if it does not."""
    client = ssl.SSLContext(ssl.PROTOCOL_TLS_CLIENT)
    client.load_verify_locations(cadata=authority_pem)
    return _agree(client, server, host)


def refusal_of_file(authority_pem: str, server_file: Path, host: str) -> str:
    """The same for a server that uses a certificate file."""
    server = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    server.load_cert_chain(server_file)
    return refusal(authority_pem, server, host)


def refusal_of(authority: Authority, folder: Path, host: str, names: list[str], addresses: list[str]) -> str:
    """The same for a certificate that the authority's key signs for names and addresses, whatever they are."""
    file = folder / "leaf.pem"
    file.write_bytes(issue(authority, names, addresses))
    return refusal_of_file(pem(authority), file, host)


def pem(authority: Authority) -> str:
    """An authority's certificate as text."""
    return authority.certificate.public_bytes(serialization.Encoding.PEM).decode()


def under_authority(authority: Authority) -> Authority:
    """What the authority must not be able to make: a second authority below it, without limits."""
    key = ec.generate_private_key(ec.SECP256R1())
    name = x509.Name([x509.NameAttribute(x509.NameOID.COMMON_NAME, "Under it")])
    signer = authority.certificate
    certificate = (
        x509.CertificateBuilder()
        .subject_name(name)
        .issuer_name(signer.subject)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(signer.not_valid_before_utc)
        .not_valid_after(signer.not_valid_after_utc)
        .add_extension(x509.BasicConstraints(ca=True, path_length=None), critical=True)
        .sign(authority.key, hashes.SHA256())
    )
    return Authority(certificate, key)


def _agree(client: ssl.SSLContext, server: ssl.SSLContext, host: str) -> str:
    to_server, to_client = ssl.MemoryBIO(), ssl.MemoryBIO()
    asks = client.wrap_bio(to_client, to_server, server_hostname=host)
    answers = server.wrap_bio(to_server, to_client, server_side=True)
    for _ in range(10):
        try:
            asks.do_handshake()
            return ""
        except ssl.SSLWantReadError:
            pass
        except ssl.SSLCertVerificationError as refused:
            return refused.verify_message
        with suppress(ssl.SSLWantReadError):
            answers.do_handshake()
    raise AssertionError("the two sides never came to an end")
