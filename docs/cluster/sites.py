"""Invented sites for trying many of them: python sites.py FOLDER COUNT ROUNDS

Each has 20 wells on a plane with a bump, and so many rounds half a year apart. Nothing in them is real.
"""

import math
import random
import sys
from pathlib import Path


def site(folder: Path, number: int, rounds: int) -> None:
    chance = random.Random(number)
    (folder / "rounds").mkdir(parents=True)
    (folder / "site.toml").write_text(
        f'[site]\nname = "Invented site {number:04}"\ncrs = "EPSG:26915"\nelevation_unit = "m"\nvertical_datum = "NAVD 88"\n'
    )
    east, north = 440000.0 + 100.0 * (number % 100), 4650000.0 + 100.0 * (number // 100)
    gradient, toward = chance.uniform(0.002, 0.008), chance.uniform(0.0, 2.0 * math.pi)
    wells = []
    for row in range(4):
        for column in range(5):
            x = 60.0 * column + chance.uniform(-20.0, 20.0)
            y = 60.0 * row + chance.uniform(-20.0, 20.0)
            wells.append((f"MW-{5 * row + column + 1}", x, y, 255.0 + chance.uniform(-0.5, 0.5)))
    lines = ["id,easting,northing,measuring_point_elevation"]
    lines += [f"{w},{east + x:.2f},{north + y:.2f},{top:.3f}" for w, x, y, top in wells]
    (folder / "wells.csv").write_text("\n".join(lines) + "\n")
    for k in range(rounds):
        year, month = 2019 + k // 2, 4 if k % 2 == 0 else 10
        lines = ["id,date,depth_to_water"]
        for w, x, y, top in wells:
            fall = gradient * (x * math.sin(toward) + y * math.cos(toward))
            bump = 0.05 * math.exp(-((x - 120.0) ** 2 + (y - 90.0) ** 2) / 5000.0)
            season = -0.3 * (k % 2) - 0.02 * k
            head = 250.0 - fall + bump + season + chance.gauss(0.0, 0.003)
            lines.append(f"{w},{year}-{month:02}-12,{top - head:.3f}")
        (folder / "rounds" / f"{year}-{month:02}.csv").write_text("\n".join(lines) + "\n")


if __name__ == "__main__":
    parent, count, rounds = Path(sys.argv[1]), int(sys.argv[2]), int(sys.argv[3])
    for number in range(1, count + 1):
        site(parent / f"site-{number:04}", number, rounds)
