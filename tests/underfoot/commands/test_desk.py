"""`underfoot desk`: what it says before it serves, and that it serves this machine and ends."""

import signal
import socket
import subprocess
import sys
import urllib.error
import urllib.request
from importlib.util import find_spec
from pathlib import Path

import pytest

from tests.underfoot.asking import Ask
from underfoot.__main__ import main
from underfoot.commands import desk as command
from underfoot_rules import STANDARD

pytestmark = pytest.mark.usefixtures("folder", "tiny")

Said = pytest.CaptureFixture[str]


def test_without_the_extra_it_says_how_to_install_it(
    monkeypatch: pytest.MonkeyPatch, ask: Ask
) -> None:
    monkeypatch.setattr(
        command, "find_spec", lambda name: None if name == "watchfiles" else find_spec(name)
    )
    assert ask("desk .", status=2).err == (
        "underfoot: desk needs the extra `desk`: pip install 'underfoot[desk]'\n"
    )


def test_without_a_plan_there_is_no_desk(ask: Ask) -> None:
    Path("empty").mkdir()
    for path, words in [
        ("empty", "no plan was found in this folder"),
        ("gone.yaml", "there is no such file"),
        ("-", "the desk shows files"),
    ]:
        said = ask("desk", path, "--no-open", status=2)
        assert words in said.err
        assert said.out == ""


def test_more_plans_than_a_page_shows_are_too_many(ask: Ask) -> None:
    for number in range(201):
        Path(f"{number}.yaml").write_text("plan_format: 1\n", "utf-8")
    said = ask("desk . --no-open", status=2).err
    assert "there are 201 plans; at the desk are at most 200" in said


def test_a_port_that_is_taken_is_told(capsys: Said) -> None:
    Path("hall.yaml").write_text("plan_format: 1\n", "utf-8")
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        assert main(["desk", "hall.yaml", "--no-open", "--port", str(port)]) == 2
    assert f"underfoot: --port {port}: " in capsys.readouterr().err


@pytest.mark.process
@pytest.mark.skipif(sys.platform == "win32", reason="signals are of another kind there")
def test_it_serves_this_machine_and_ends_when_told(folder: Path) -> None:
    Path("plan.yaml").write_text(STANDARD.base_plan, "utf-8")
    arguments = [sys.executable, "-m", "underfoot", "desk", "plan.yaml", "--no-open"]
    with subprocess.Popen(arguments, stdout=subprocess.PIPE, stderr=subprocess.PIPE) as process:
        assert process.stdout is not None
        address = process.stdout.readline().decode().strip()
        host, _, port = address.removeprefix("http://").partition("/")[0].partition(":")
        assert host == "127.0.0.1"
        secret = address.rstrip("/").rpartition("/")[2]
        assert len(secret) >= 32
        page = urllib.request.urlopen(address, timeout=60).read().decode()
        assert 'data-verdict="no-objection"' in page
        for wrong in (f"http://127.0.0.1:{port}/", address.replace(secret, secret[::-1])):
            with pytest.raises(urllib.error.HTTPError) as refused:
                urllib.request.urlopen(wrong, timeout=60)
            assert refused.value.code == 404
            refused.value.close()
        process.send_signal(signal.SIGINT)
        out, err = process.communicate(timeout=30)
    assert (process.returncode, out, err) == (0, b"", b"")
    assert [each.name for each in folder.iterdir()] == ["plan.yaml"]
