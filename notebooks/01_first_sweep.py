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
# # A first sweep
#
# You have a caliper and a screwdriver: which gap should the two-speed have? We run the built-in
# demo car, whose numbers are invented, at many gaps and look at what changes.

# %%
import layshaft
from layshaft import plots

car = layshaft.demo_car()
gaps = [f"{tenths / 10} mm" for tenths in range(36, 52)]
table = layshaft.sweep(car, {"two_speed.gap": gaps})
table.time_to_distance.isel(distance=-1).to_series().round(3)

# %% [markdown]
# The optimum is flat: look at the shaded plateau before you trust the last hundredth.

# %%
plots.picture(plots.setting_curve(table, car))

# %%
advice = layshaft.best_setting(table, car)
best, low, high = (reading * 1e3 for reading in (advice.best, advice.low, advice.high))
print(f"best {best:.2f} mm, alike from {low:.2f} to {high:.2f} mm")

# %% [markdown]
# What a run does at one gap. Move the slider: each position is a new run of the car.


# %%
def through_the_shift(gap_mm: float) -> object:
    run = layshaft.launch(car.replace({"two_speed.gap": gap_mm * 1e-3}), distance=40.0)
    return plots.shift_speeds(run)


plots.live(through_the_shift, gap_mm=(3.6, 5.2, 0.05))

# %% [markdown]
# Every number here is an estimate, as good as the set-up. Check on the track with one shift speed
# that you heard. A running car throws parts and burns: stand clear.
