"""Who may ask the desk: the page that it sent, on this machine, and nobody else."""

import hmac
from collections.abc import Mapping

from msgspec import Struct

JSON = "application/json"
# A decision is some hundred bytes.
MOST_BYTES = 65_536
# What every answer carries, beside the policy in the page itself.
HEADERS = {
    "Content-Security-Policy": "frame-ancestors 'none'; base-uri 'none'; form-action 'none'",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "no-referrer",
    "Cache-Control": "no-store",
}


class Door(Struct, frozen=True, kw_only=True):
    """Where the desk is asked: host and port as an address has them, and the secret in the path."""

    authority: str
    secret: str

    @property
    def origin(self) -> str:
        """What a browser says that a request from the page comes from."""
        return f"http://{self.authority}"

    @property
    def address(self) -> str:
        """What is opened in the browser."""
        return f"{self.origin}/{self.secret}/"


class Refusal(Struct, frozen=True, kw_only=True):
    """Why a request is not answered."""

    status: int
    why: str


def find_refusal(door: Door, method: str, path: str, headers: Mapping[str, str]) -> Refusal | None:
    """Say why a request is refused, or None; the names of headers are in small letters.

    The host must be the one that was printed, so that no name of somebody else's can lead here;
    the secret must be in the path; whatever tells where a request comes from must tell this page;
    and what writes must be JSON from it, which no foreign page can send unasked.
    """
    if headers.get("host") != door.authority:
        return Refusal(status=403, why="this host is not the desk's")
    secret = path.split("/", 2)[1] if path.startswith("/") else ""
    if not hmac.compare_digest(secret.encode(), door.secret.encode()):
        return Refusal(status=404, why="there is nothing here: open the address that was printed")
    origin = headers.get("origin")
    if origin is not None and origin != door.origin:
        return Refusal(status=403, why="this request does not come from the desk's page")
    if headers.get("sec-fetch-site", "none") not in ("none", "same-origin"):
        return Refusal(status=403, why="this request does not come from the desk's page")
    if method in ("GET", "HEAD"):
        return None
    if method != "POST":
        return Refusal(status=405, why="this cannot be asked")
    if origin is None:
        return Refusal(status=403, why="this request does not say where it comes from")
    if headers.get("content-type", "").partition(";")[0].strip().lower() != JSON:
        return Refusal(status=415, why="only JSON is taken")
    length = headers.get("content-length", "")
    if not (length.isascii() and length.isdecimal()):
        return Refusal(status=411, why="this request does not say how long it is")
    if int(length) > MOST_BYTES:
        return Refusal(status=413, why="this is more than a decision takes")
    return None
