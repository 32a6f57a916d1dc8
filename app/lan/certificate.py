"""The certificates themselves: an authority of this laptop's own, and the server's certificate signed by it.

Whoever trusts the authority lets its key vouch for private addresses and this ledger's own names, and for nothing else (RFC 5280,
4.2.1.10): a thief of the key could not pass for a bank. It may sign servers only (extended key usage), no further authorities
(path length 0), and it ends after some weeks.
"""

import ipaddress
import os
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path

from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

from app.lan.names import PRIVATE_RANGES
from app.store.copies import held

# A tablet whose clock is a day slow, or in a wrong time zone, must not find the certificate from tomorrow.
BEFORE = timedelta(days=2)
PERMIT_SERVERS = x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH])
OWNER_ONLY = 0o600


@dataclass(frozen=True, slots=True)
class Authority:
    """A certificate authority with its key."""

    certificate: x509.Certificate
    key: ec.EllipticCurvePrivateKey

    @property
    def fingerprint(self) -> str:
        """SHA-256 of the certificate, in hex digits."""
        return self.certificate.fingerprint(hashes.SHA256()).hex()


def new_authority(names: Iterable[str], now: datetime, days: int) -> Authority:
    """An authority for some names and the private ranges, good from two days ago until `days` from now."""
    key = ec.generate_private_key(ec.SECP256R1())
    identifier = x509.SubjectKeyIdentifier.from_public_key(key.public_key())
    subject = _subject(f"Lane Ledger {identifier.digest[:2].hex().upper()} {identifier.digest[2:4].hex().upper()}")
    permitted = [*(x509.DNSName(name) for name in names), *(_range(text) for text in PRIVATE_RANGES)]
    builder = (
        _begun(subject, subject, key, now.replace(microsecond=0) - BEFORE, now.replace(microsecond=0) + timedelta(days=days))
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        .add_extension(_usage(signs_certificates=True), critical=True)
        .add_extension(PERMIT_SERVERS, critical=False)
        .add_extension(identifier, critical=False)
        .add_extension(x509.NameConstraints(permitted, None), critical=True)
    )
    return Authority(builder.sign(key, hashes.SHA256()), key)


def issue(authority: Authority, names: Iterable[str], addresses: Iterable[str]) -> bytes:
    """A server's certificate for names and addresses, followed by its new key, as PEM.

    Its dates are the authority's: so no step of this computer's clock after the first start can spoil it.
    """
    key = ec.generate_private_key(ec.SECP256R1())
    signer = authority.certificate
    called = [*(x509.DNSName(name) for name in names), *(x509.IPAddress(ipaddress.ip_address(one)) for one in addresses)]
    builder = (
        _begun(_subject("Lane Ledger"), signer.subject, key, signer.not_valid_before_utc, signer.not_valid_after_utc)
        .add_extension(x509.SubjectAlternativeName(called), critical=False)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(_usage(signs_certificates=False), critical=True)
        .add_extension(PERMIT_SERVERS, critical=False)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False)
        .add_extension(x509.AuthorityKeyIdentifier.from_issuer_public_key(authority.key.public_key()), critical=False)
    )
    certificate = builder.sign(authority.key, hashes.SHA256())
    return certificate.public_bytes(serialization.Encoding.PEM) + _key_bytes(key)


def write_authority(authority: Authority, certificate: Path, key: Path) -> None:
    """Writes an authority as two PEM files; the key can be read by the owner only, from its first byte on."""
    write_secret(key, _key_bytes(authority.key))
    certificate.write_bytes(authority.certificate.public_bytes(serialization.Encoding.PEM))


def read_authority(certificate: Path, key: Path) -> Authority:
    """An authority from its two files. Raises OSError or ValueError when they are missing or not what they should be."""
    signer = serialization.load_pem_private_key(key.read_bytes(), None)
    if not isinstance(signer, ec.EllipticCurvePrivateKey):
        raise ValueError("The key is of another kind.")
    return Authority(x509.load_pem_x509_certificate(certificate.read_bytes()), signer)


def write_secret(path: Path, content: bytes) -> None:
    """Writes a file that only its owner can read, whole or not at all."""
    beside = path.with_name(path.name + ".part")
    held.remove(beside)
    with os.fdopen(os.open(beside, os.O_WRONLY | os.O_CREAT | os.O_EXCL, OWNER_ONLY), "wb") as file:
        file.write(content)
        file.flush()
        os.fsync(file.fileno())
    held.replace(beside, path)


def _begun(
    subject: x509.Name, issuer: x509.Name, key: ec.EllipticCurvePrivateKey, begins: datetime, ends: datetime
) -> x509.CertificateBuilder:
    return (
        x509.CertificateBuilder()
        .subject_name(subject)
        .issuer_name(issuer)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(begins)
        .not_valid_after(ends)
    )


def _subject(common_name: str) -> x509.Name:
    return x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, common_name)])


def _range(text: str) -> x509.IPAddress:
    return x509.IPAddress(ipaddress.ip_network(text))


def _usage(signs_certificates: bool) -> x509.KeyUsage:
    return x509.KeyUsage(
        digital_signature=not signs_certificates,
        content_commitment=False,
        key_encipherment=False,
        data_encipherment=False,
        key_agreement=False,
        key_cert_sign=signs_certificates,
        crl_sign=signs_certificates,
        encipher_only=False,
        decipher_only=False,
    )


def _key_bytes(key: ec.EllipticCurvePrivateKey) -> bytes:
    return key.private_bytes(serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8, serialization.NoEncryption())
