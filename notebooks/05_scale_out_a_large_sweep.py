# ---
# jupyter:
#   jupytext:
#     text_representation:
#       extension: .py
#       format_name: percent
#   kernelspec:
#     display_name: Python 3
#     language: python
#     name: python3
# ---

# %% [markdown]
# # Scale out a large sweep
#
# A sweep runs on all cores of one machine by itself. For more, pass it any `map`: that of a pool of
# threads or processes, or of a cluster. It gives that map blocks of the sweep; the results are
# bit-identical.

# %%
import tempfile
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import layshaft
import numpy as np
import xarray
from layshaft import plots

car = layshaft.demo_car()
axes = {
    "two_speed.gap": np.linspace(4.2e-3, 5.4e-3, 13),
    "two_speed.slug_mass": np.linspace(0.6e-3, 1.4e-3, 9),
}
with ThreadPoolExecutor() as pool:
    table = layshaft.sweep(car, axes, map=pool.map, distance="40 m")
print(dict(table.sizes))

# %% [markdown]
# The same on several machines. With Dask:
#
# ```python
# from distributed import Client
#
# with Client("tcp://scheduler:8786") as client:
#     table = layshaft.sweep(car, axes, map=client.get_executor().map)
# ```
#
# With MPI, started by `mpiexec -n 33 python -m mpi4py.futures sweep.py`:
#
# ```python
# from mpi4py.futures import MPIPoolExecutor
#
# if __name__ == "__main__":
#     with MPIPoolExecutor() as pool:
#         layshaft.sweep(car, axes, map=pool.map, file="runs.nc")
# ```

# %% [markdown]
# Write a long sweep to a file. Each block is in it as soon as it is done, so that memory stays
# bounded, and neither Ctrl-C nor a power cut costs more than the last block. Here the machine stops
# after three blocks.

# %%
file = Path(tempfile.mkdtemp(), "runs.nc")


def until_it_stops(function, blocks):
    yield from map(function, blocks[:3])
    raise OSError("the machine stopped")


try:
    layshaft.sweep(car, axes, map=until_it_stops, file=file, distance="40 m")
except OSError as error:
    print(error)
with xarray.open_dataset(file) as part:
    print(int((part.status == "finished").sum()), "of", part.status.size, "runs are in the file")

# %% [markdown]
# The same line again goes on from there. Another car, other options or another version of the
# library would be refused.

# %%
kept = layshaft.sweep(car, axes, file=file, distance="40 m", progress=True)
assert kept.identical(table)
plots.picture(plots.setting_map(kept))

# %% [markdown]
# Samples over time are not kept, since a run is quick and bit-identical each time. Pick a point and
# run it again.

# %%
times = kept.time_to_distance.isel(distance=-1)
run = layshaft.trace(kept.isel({axis: int(at) for axis, at in times.argmin(...).items()}))
print(run)

# %% [markdown]
# Walk through the map: the gap curve at each slug.


# %%
def at_slug(slug_g: float) -> object:
    nearest = table.sel(two_speed_slug_mass=slug_g * 1e-3, method="nearest")
    return plots.shift_speed(nearest.drop_vars("two_speed_slug_mass"))


plots.live(at_slug, slug_g=(0.6, 1.4, 0.1))
