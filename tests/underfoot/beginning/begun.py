"""Plans that a command has begun in the folder it runs in."""

from pathlib import Path

from underfoot.plan import Plan
from underfoot.reading.plan_file import read_plan

DEMO_CATALOGUE = Path(__file__).parents[3] / "plans" / "catalogue.yaml"


def begun(name: str = "hall.yaml") -> Plan:
    """Read a plan that was begun; it must be right but for its blanks."""
    reading = read_plan(Path(name).read_bytes(), path=name, folder=Path.cwd())
    assert reading.problems == ()
    assert reading.plan is not None
    return reading.plan


def put_catalogue() -> None:
    """Put the demo catalogue beside the plans to come."""
    Path("catalogue.yaml").write_bytes(DEMO_CATALOGUE.read_bytes())
