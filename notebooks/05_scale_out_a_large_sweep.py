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
# A sweep runs on all cores of one machine. Chunks of it are plain arrays, so that any `map`, of
# threads here, of processes or of machines, can do them; the results are the same bits.

# %%
import itertools
import time
from concurrent.futures import ThreadPoolExecutor

import layshaft
import numpy as np
from layshaft import plots
from layshaft.notebook_view import live, picture
from layshaft.run_options import read_options
from layshaft.sweep_table import run_chunk

car = layshaft.demo_car()
options = read_options(distance="40 m")
paths = ["two_speed.gap", "two_speed.slug_mass"]
gaps, slugs = np.linspace(4.2e-3, 5.4e-3, 13), np.linspace(0.6e-3, 1.4e-3, 9)
points = np.array(list(itertools.product(gaps, slugs)))

# %%
begin = time.perf_counter()
chunks = np.array_split(points, 6)
with ThreadPoolExecutor() as pool:
    done = pool.map(lambda chunk: run_chunk(car, paths, chunk, options, threads=1), chunks)
    times = np.concatenate([chunk.distance_times[:, -1] for chunk in done])
took = time.perf_counter() - begin
print(f"{len(points)} runs in {took:.1f} s, {len(points) / took:.0f} a second")

# %% [markdown]
# The same as one sweep, to the last bit:

# %%
table = layshaft.sweep(car, dict(zip(paths, (gaps, slugs), strict=True)), distance="40 m")
assert np.array_equal(times, table.time_to_distance.isel(distance=-1).values.ravel())
picture(plots.setting_map(table))

# %% [markdown]
# Walk through the map: the gap curve at each slug.


# %%
def at_slug(slug_g: float) -> object:
    return plots.shift_speed(
        table.sel({paths[1]: slug_g * 1e-3}, method="nearest").drop_vars(paths[1])
    )


live(at_slug, slug_g=(0.6, 1.4, 0.1))
