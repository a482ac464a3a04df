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
# # A stint: fuel, tyres, heat, and when to turn the screws
#
# Every lap of the race is the settled flying lap of the car as it is then: its fuel burnt, its
# tyres worn. How tyres wear is an **assumption**: radius lost in proportion to the sliding work of
# the axle.

# %%
import layshaft
from layshaft import plots, reports

car = layshaft.demo_car()
race = layshaft.stint(car, "club", duration="20 min")
print("\n".join(reports.stint_sentences(race)))

# %%
plots.picture(plots.stint_story(race))

# %% [markdown]
# Smaller tyres roll less far for a turn of the engine, and the shoes go out at one speed of the
# shaft: so the car shifts ever earlier. Front and rear wear unequally, which changes who pulls
# whom.

# %%
first, last = race.laps.isel(lap=0), race.laps.isel(lap=-1)
for name, scale, unit in (
    ("shift_speed", 3.6, "km/h"),
    ("rollout", 1e3, "mm"),
    ("lead", 100.0, "%"),
    ("lap_time", 1.0, "s"),
):
    print(f"{name}: {float(first[name]) * scale:.2f} to {float(last[name]) * scale:.2f} {unit}")

# %% [markdown]
# Heat: each lap is that of a warm car. Is there friction left?

# %%
for name, section in (
    ("clutch_temperature", "clutch.heat"),
    ("shoe_temperature", "two_speed_heat"),
):
    hottest = float(race.laps[name].max())
    left = layshaft.friction_left(car, section, hottest)
    print(f"{name}: up to {hottest - 273.15:.0f} degC, {left:.0%} of the friction left")
print(f"warm after {race.laps_to_settle} laps")

# %% [markdown]
# At each stop: which gap is quickest with the tyres as they are, and is it worth the time to turn
# the screws? If not, which gap would bring the shift back to where it was?

# %%
for stop in race.stops:
    print(
        f"after lap {stop.lap}: {stop.turns:+.2f} turns gain {stop.gain:.3f} s a lap,"
        f" {'worth' if stop.worth else 'not worth'} the time;"
        f" the shift of the start is at {stop.gap_of_start * 1e3:.2f} mm"
    )

# %% [markdown]
# Nobody knows beforehand how fast the tyres wear: move it.


# %%
def drift(nanometres_per_joule: float) -> object:
    rate = nanometres_per_joule * 1e-9
    wear = layshaft.TyreWear(rear=rate, front=rate)
    coarse = layshaft.stint(car, "club", duration="6 min", wear=wear, tolerance=1e-4)
    return plots.shift_drift(coarse)


plots.live(drift, nanometres_per_joule=(0.0, 240.0, 20.0))
