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
# # Gears at hand
#
# Both pairs of gears run between the same two shafts, so they must fit one centre distance within
# their backlash. Which of the gears you own do?

# %%
import layshaft
from layshaft import plots

car = layshaft.demo_car()
parts = layshaft.Parts(
    first_pinions=(16, 17, 18),
    first_spurs=(49, 50, 51),
    second_pinions=(21, 22, 23),
    second_spurs=(44, 45, 46),
    front_diameters=(0.068, 0.069, 0.070),
    slugs=(0.0008, 0.001, 0.0012),
)
chart = layshaft.mesh(car, parts, engine_speeds=["30 krpm", "38 krpm"])
chart[
    ["first_spur", "first_pinion", "second_spur", "second_pinion", "step", "speed_drop"]
].to_pandas()

# %% [markdown]
# Up first gear, across at the shift, up second gear. Thin lines: where each gear would go on.

# %%
plots.picture(plots.gear_speeds(chart, car=car))

# %% [markdown]
# Front against rear: tyres of unequal tread speed work against each other through the belts.

# %%
for pair in layshaft.tyre_pairs(car, parts):
    print(f"front {pair.front_diameter * 1e3:.0f} mm: {pair.text}, {pair.force:.1f} N circulate")

# %% [markdown]
# Which of all these is quickest out of a corner, with the gap set to suit? Few changes first: a set
# that loses too little to notice but keeps the pinions saves the time between two heats.

# %%
corner = layshaft.goals.quickest(distance="30 m", start_speed="25 km/h")
gap = {"two_speed.gap": layshaft.Between("3.8 mm", "4.8 mm")}
few = layshaft.Parts(second_pinions=(21, 22, 23), second_spurs=(44, 45, 46))
advice = layshaft.recommend(car, gap, goal=corner, parts=few)
for move in advice.moves:
    print(move.text)
print(f"{advice.gain:.3f} s quicker than now")

# %% [markdown]
# Move the shift: where does each set drop to?


# %%
def drop_at(shift_km_per_h: float) -> object:
    return plots.gear_speeds(chart, car=car, shift_speed=shift_km_per_h / 3.6)


plots.live(drop_at, shift_km_per_h=(35.0, 75.0, 1.0))

# %% [markdown]
# Gears and belts catch fingers: engine off, wheels still, before you reach in.
