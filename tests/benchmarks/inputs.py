"""Writes the benchmarks' plans into a folder, to look at or to profile.

Right plans are in `rooms/`, right and faulty ones in turns in `mixed/`, faulty ones in `faulty/`;
each hall is a file.

python -m tests.benchmarks.inputs FOLDER
"""

import argparse
from pathlib import Path

from tests.benchmarks.damaged import write_faulty, write_mixed
from tests.benchmarks.hall import write_hall
from tests.benchmarks.rooms import write_rooms

ROOMS = 500
MIXED = 500
FAULTY = 200
HALLS = (1_000, 10_000)


def main() -> None:
    """Write every kind of input."""
    parser = argparse.ArgumentParser(description="Write the plans that the benchmarks read.")
    parser.add_argument("folder", type=Path)
    folder: Path = parser.parse_args().folder
    rooms = write_rooms(folder / "rooms", ROOMS)
    print(f"{len(rooms)} plans in {folder / 'rooms'}")
    write_mixed(folder / "mixed", MIXED)
    write_faulty(folder / "faulty", FAULTY)
    for strips in HALLS:
        print(write_hall(folder / f"hall-{strips}.yaml", strips))


if __name__ == "__main__":
    main()
