"""A certificate of one's own for HTTPS on the workshop's network.

The root that phones trust is made once and kept beside the record, for its owner alone. It can
vouch for private addresses, ``localhost`` and names in ``.local``, and for nothing else (RFC 5280,
4.2.1.10): if it were stolen, nobody could pass for a site on the internet with it. What the server
shows is made anew at each start, for the addresses that it has then.
"""

import datetime as dt
import os
import ssl
import tempfile
from hashlib import sha256
from ipaddress import IPv4Network, ip_address
from pathlib import Path
from typing import TYPE_CHECKING

from stores.errors import BadValue, StorageError
from stores.leftovers import clear_left_over, unfinished
from stores.web.network import NETWORKS

if TYPE_CHECKING:
    from cryptography.hazmat.primitives.asymmetric.ec import EllipticCurvePrivateKey
    from cryptography.x509 import Certificate, GeneralName

__all__ = ["Authority", "fingerprint", "refuse_without_cryptography"]

_ROOT_DAYS = 3650
_SERVER_DAYS = 397
"""Within the 398 days that browsers accept of a server's certificate."""
_BACK = dt.timedelta(days=1)
"""A phone's clock may be behind."""
_NAMES = ("local", "localhost")


def refuse_without_cryptography() -> None:
    """Refuse to go on where the package that makes certificates is missing.

    Raises:
        BadValue: it is; says what to install.
    """
    try:
        import cryptography  # noqa: F401
    except ImportError:
        raise BadValue(
            'HTTPS needs one package more: pip install "stores[https]", or leave --secure out'
        ) from None


def fingerprint(root: bytes) -> str:
    """Return the SHA-256 of a certificate in DER, as phones and browsers show it."""
    return ":".join(f"{byte:02X}" for byte in sha256(root).digest())


class Authority:
    """The root of a stores: its key, and its certificate."""

    def __init__(self, key: "EllipticCurvePrivateKey", certificate: "Certificate") -> None:
        self._key = key
        self._certificate = certificate

    @classmethod
    def kept_in(cls, file: Path) -> "Authority":
        """Return the root that is kept in a file; where there is none yet, or it is about to end,
        a new one that is kept there from now on.

        Raises:
            BadValue: the package that makes certificates is missing.
            StorageError: the file is something else, or cannot be read or written.
        """
        refuse_without_cryptography()
        from cryptography import x509
        from cryptography.hazmat.primitives.asymmetric.ec import EllipticCurvePrivateKey
        from cryptography.hazmat.primitives.serialization import load_pem_private_key

        try:
            if file.exists():
                if os.name == "posix" and file.stat().st_mode & 0o077:
                    file.chmod(0o600)
                content = file.read_bytes()
                key, certificate = (
                    load_pem_private_key(content, None),
                    x509.load_pem_x509_certificate(content),
                )
                if not isinstance(key, EllipticCurvePrivateKey):
                    raise ValueError("another kind of key")
                left = certificate.not_valid_after_utc - dt.datetime.now(dt.UTC)
                if left > dt.timedelta(days=_SERVER_DAYS):
                    return cls(key, certificate)
            made = cls._new()
            made._keep(file)
        except OSError as error:
            raise StorageError(
                f"the certificate cannot be kept in {file}: {error.strerror or error}"
            ) from error
        except ValueError as error:
            raise StorageError(
                f"{file} is not the certificate of a stores: move it away, and a new one is made"
            ) from error
        return made

    @property
    def root(self) -> bytes:
        """The certificate that phones are to trust, in DER."""
        from cryptography.hazmat.primitives.serialization import Encoding

        return self._certificate.public_bytes(Encoding.DER)

    def context(self, names: "frozenset[str]") -> ssl.SSLContext:
        """Return what a server shows that is called by these names and addresses."""
        with tempfile.TemporaryDirectory(prefix="stores-") as folder:
            file = Path(folder) / "server.pem"
            _write_for_owner(file, self.server(names))
            context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
            context.minimum_version = ssl.TLSVersion.TLSv1_2
            context.load_cert_chain(file)
        return context

    def server(self, names: "frozenset[str]") -> bytes:
        """Return a key and a certificate for these names and addresses, in PEM."""
        from cryptography import x509
        from cryptography.hazmat.primitives import hashes
        from cryptography.hazmat.primitives.asymmetric import ec
        from cryptography.x509.oid import ExtendedKeyUsageOID

        key = ec.generate_private_key(ec.SECP256R1())
        now = dt.datetime.now(dt.UTC)
        builder = (
            x509.CertificateBuilder()
            .subject_name(_called("stores in the workshop"))
            .issuer_name(self._certificate.subject)
            .public_key(key.public_key())
            .serial_number(x509.random_serial_number())
            .not_valid_before(now - _BACK)
            .not_valid_after(now + dt.timedelta(days=_SERVER_DAYS) - _BACK)
            .add_extension(
                x509.SubjectAlternativeName(sorted(map(_general, names), key=str)), critical=False
            )
            .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
            .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
            .add_extension(_usage(signs_certificates=False), critical=True)
            .add_extension(
                x509.AuthorityKeyIdentifier.from_issuer_public_key(self._key.public_key()),
                critical=False,
            )
        )
        return _pem(key, builder.sign(self._key, hashes.SHA256()))

    @classmethod
    def _new(cls) -> "Authority":
        from cryptography import x509
        from cryptography.hazmat.primitives import hashes
        from cryptography.hazmat.primitives.asymmetric import ec

        key = ec.generate_private_key(ec.SECP256R1())
        now = dt.datetime.now(dt.UTC)
        networks = (*NETWORKS, IPv4Network("127.0.0.0/8"))
        permitted: list[GeneralName] = [
            *map(x509.DNSName, _NAMES),
            *map(x509.IPAddress, networks),
        ]
        named = _called(f"stores {now:%Y-%m-%d}")
        builder = (
            x509.CertificateBuilder()
            .subject_name(named)
            .issuer_name(named)
            .public_key(key.public_key())
            .serial_number(x509.random_serial_number())
            .not_valid_before(now - _BACK)
            .not_valid_after(now + dt.timedelta(days=_ROOT_DAYS))
            .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
            .add_extension(_usage(signs_certificates=True), critical=True)
            .add_extension(x509.NameConstraints(permitted, None), critical=True)
            .add_extension(
                x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False
            )
        )
        return cls(key, builder.sign(key, hashes.SHA256()))

    def _keep(self, file: Path) -> None:
        file.parent.mkdir(parents=True, exist_ok=True)
        clear_left_over(file)
        part = unfinished(file)
        part.unlink(missing_ok=True)
        _write_for_owner(part, _pem(self._key, self._certificate))
        part.replace(file)


def _write_for_owner(file: Path, content: bytes) -> None:
    with os.fdopen(os.open(file, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600), "wb") as out:
        out.write(content)


def _pem(key: "EllipticCurvePrivateKey", certificate: "Certificate") -> bytes:
    from cryptography.hazmat.primitives.serialization import Encoding, NoEncryption, PrivateFormat

    secret = key.private_bytes(Encoding.PEM, PrivateFormat.PKCS8, NoEncryption())
    return secret + certificate.public_bytes(Encoding.PEM)


def _called(name: str):  # type: ignore[no-untyped-def]
    from cryptography import x509
    from cryptography.x509.oid import NameOID

    return x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, name)])


def _general(name: str) -> "GeneralName":
    from cryptography import x509

    try:
        return x509.IPAddress(ip_address(name))
    except ValueError:
        return x509.DNSName(name)


def _usage(*, signs_certificates: bool):  # type: ignore[no-untyped-def]
    from cryptography import x509

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
