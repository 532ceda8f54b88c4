"""Nobody asks the desk but the page that it sent: host, secret, origin, kind and size."""

import pytest

from tests.underfoot.desk.desks import DOOR
from underfoot.desk.guarding import MOST_BYTES, find_refusal

PATH = f"/{DOOR.secret}/"
HOST = {"host": DOOR.authority}
WRITING = {
    **HOST, "origin": DOOR.origin, "content-type": "application/json", "content-length": "9",
}  # fmt: skip


def status(method: str, path: str, headers: dict[str, str]) -> int:
    refusal = find_refusal(DOOR, method, path, headers)
    return 200 if refusal is None else refusal.status


def test_the_page_itself_comes_in() -> None:
    assert status("GET", PATH, HOST) == 200
    assert status("GET", f"{PATH}news", {**HOST, "sec-fetch-site": "same-origin"}) == 200
    # An address that is typed or clicked in a terminal.
    assert status("GET", PATH, {**HOST, "sec-fetch-site": "none"}) == 200
    assert status("POST", f"{PATH}decide", WRITING) == 200
    with_charset = {**WRITING, "content-type": "Application/JSON; charset=utf-8"}
    assert status("POST", f"{PATH}decide", with_charset) == 200
    assert status("POST", f"{PATH}decide", {**WRITING, "content-length": str(MOST_BYTES)}) == 200


@pytest.mark.parametrize(
    "host", ["", "localhost:4711", "127.0.0.1", "127.0.0.1:80", "evil.example:4711", "[::1]:4711"]
)
def test_no_other_name_leads_here(host: str) -> None:
    assert status("GET", PATH, {"host": host}) == 403
    assert status("GET", PATH, {}) == 403
    assert status("POST", f"{PATH}decide", {**WRITING, "host": host}) == 403


@pytest.mark.parametrize("path", ["/", "", "a-secret/", "/A-SECRET/", "/a-secre/", "//a-secret/",
                                  "/a-secret2/", "/é/", "/../a-secret/"])  # fmt: skip
def test_without_the_secret_there_is_nothing(path: str) -> None:
    assert status("GET", path, HOST) == 404
    assert status("POST", path, WRITING) == 404


@pytest.mark.parametrize(
    "origin",
    ["null", "http://evil.example", "https://127.0.0.1:4711", "http://127.0.0.1:4712",
     "http://localhost:4711", ""],
)  # fmt: skip
def test_no_foreign_page_asks(origin: str) -> None:
    assert status("GET", PATH, {**HOST, "origin": origin}) == 403
    assert status("POST", f"{PATH}decide", {**WRITING, "origin": origin}) == 403


@pytest.mark.parametrize("site", ["cross-site", "same-site", "", "anything"])
def test_what_a_browser_says_of_where_it_comes_from_counts(site: str) -> None:
    assert status("GET", PATH, {**HOST, "sec-fetch-site": site}) == 403
    assert status("POST", f"{PATH}decide", {**WRITING, "sec-fetch-site": site}) == 403


@pytest.mark.parametrize("method", ["PUT", "DELETE", "OPTIONS", "PATCH", "TRACE"])
def test_nothing_else_can_be_asked(method: str) -> None:
    assert status(method, PATH, WRITING) == 405


@pytest.mark.parametrize(
    ("change", "expected"),
    [
        ({"origin": None}, 403),
        ({"content-type": None}, 415),
        # What a foreign form may send without being asked first.
        ({"content-type": "text/plain"}, 415),
        ({"content-type": "application/x-www-form-urlencoded"}, 415),
        ({"content-type": "application/jsonp"}, 415),
        ({"content-length": None}, 411),
        ({"content-length": "-1"}, 411),
        ({"content-length": "٣"}, 411),
        ({"content-length": str(MOST_BYTES + 1)}, 413),
    ],
)
def test_what_writes_is_json_from_the_page(change: dict[str, str | None], expected: int) -> None:
    headers = {name: value for name, value in {**WRITING, **change}.items() if value is not None}
    assert status("POST", f"{PATH}decide", headers) == expected
