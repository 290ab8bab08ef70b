"""Makes de_adv_BETA2007.tif, an invented datum grid, and what PROJ makes of it: positions.json.

python make.py FOLDER   (with numpy, rasterio and pyproj, whose PROJ reads TIFF)

The grid is no one's: offsets of a few seconds of arc that vary over an area about 9 degrees east,
50.5 degrees north, and a finer grid inside it. It bears the name of a published grid because PROJ
asks for that name between EPSG:31467 and WGS 84.
"""

import json
import pathlib
import sys

import numpy as np
import pyproj
import rasterio
from rasterio.transform import from_origin

folder = pathlib.Path(sys.argv[1])
path = folder / "de_adv_BETA2007.tif"


def write(west, north, step, columns, rows, name, parent, append):
    """Nodes stand in the middles of pixels."""
    lon = west + step * np.arange(columns)
    lat = north - step * np.arange(rows)
    lon, lat = np.meshgrid(lon, lat)
    fine = 0.4 if parent else 0.0
    north_seconds = 2.0 + 0.3 * np.sin(3 * lon) + 0.2 * (lat - 50) + fine
    west_seconds = 3.0 + 0.25 * np.cos(2 * lat) - 0.1 * (lon - 9) - fine
    more = {"APPEND_SUBDATASET": "YES"} if append else {}
    with rasterio.open(
        path, "w", driver="GTiff", width=columns, height=rows, count=2, dtype="float32",
        crs="EPSG:4314", transform=from_origin(west - step / 2, north + step / 2, step, step),
        compress="DEFLATE", predictor=3, **more,
    ) as grid:
        tags = {"TYPE": "HORIZONTAL_OFFSET", "AREA_OR_POINT": "Point", "grid_name": name}
        if parent:
            tags["parent_grid_name"] = parent
        grid.update_tags(**tags)
        for band, (values, what) in enumerate(
            [(north_seconds, "latitude_offset"), (west_seconds, "longitude_offset")], 1
        ):
            grid.write(values.astype("float32"), band)
            grid.set_band_description(band, what)
            grid.set_band_unit(band, "arc-second")
        grid.update_tags(2, positive_value="west")


write(8.0, 52.0, 0.25, 13, 13, "coarse", None, False)
write(9.0, 50.75, 0.05, 11, 11, "fine", "coarse", True)

pyproj.datadir.append_data_dir(str(folder))
there = pyproj.Transformer.from_crs("EPSG:31467", "OGC:CRS84", always_xy=True)
places = [
    ("in the finer grid", 3500100.0, 5600100.0),
    ("in the finer grid", 3520180.0, 5610290.0),
    ("in the coarse grid", 3440100.0, 5580100.0),
    ("in the coarse grid", 3620100.0, 5710100.0),
]
rows = []
for where, east, north in places:
    lon, lat = there.transform(east, north)
    rows.append({"where": where, "easting": east, "northing": north, "lon": lon, "lat": lat})
source = f"PROJ {pyproj.proj_version_str} by pyproj {pyproj.__version__}, EPSG:31467 to OGC:CRS84"
text = json.dumps({"source": source, "places": rows}, indent=1)
(folder / "positions.json").write_text(text + "\n")
