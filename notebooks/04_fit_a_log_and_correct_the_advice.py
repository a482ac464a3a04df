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
# # Fit a log and correct the advice
#
# The car on paper is not the car on the track. Three shift speeds that you heard and a log of the
# speed say how they differ. Here the track is another car on paper, with noise, so that we can see
# whether the truth comes back.

# %%
import layshaft
import numpy as np
from layshaft import goals, plots

believed = layshaft.demo_car()
truth = believed.replace({"two_speed.spring_rate": "124 N/mm", "engine.power_scale": 0.94})
noise = np.random.default_rng(3)
gaps = ["4.1 mm", "4.4 mm", "4.7 mm"]
track = layshaft.sweep(truth, {"two_speed.gap": gaps})
heard = track.shift_speed.values + noise.normal(0.0, 1.0 / 3.6, 3)
seen = [
    layshaft.observe("shift_speed", speed, changes={"two_speed.gap": gap}, error="1 km/h")
    for gap, speed in zip(gaps, heard, strict=True)
]

# %% [markdown]
# A log: twenty samples a second, each out by about 1 km/h.

# %%
times = np.arange(0.1, 2.5, 0.05)
run = layshaft.launch(truth)
speeds = np.interp(times, run.samples.time, run.samples.car_speed)
speeds += noise.normal(0.0, 1.0 / 3.6, len(times))
log = layshaft.run_log("car_speed", times, speeds, error="1 km/h")

# %%
unknown = ["two_speed.spring_rate", "two_speed.zero_preload_reading", "engine.power_scale"]
learned = layshaft.learn(believed, [*seen, log], unknown)
for each in learned.intervals:
    print(f"{each.path}: {each.value:.5g}, 95 % sure {each.low:.5g} to {each.high:.5g}")
for sentence in learned.ambiguities():
    print(sentence)

# %%
plots.picture(plots.learned_figure(learned))

# %% [markdown]
# What to listen to next, before anybody drives:

# %%
for each in layshaft.suggest(learned)[:3]:
    print(f"{each.text}: doubt of {each.loosest} {each.now:.1%} to {each.then:.1%}")

# %% [markdown]
# The advice starts from the learned car and carries its uncertainty.

# %%
wish = goals.shift_at("65 km/h")
over = {"two_speed.gap": layshaft.Between("3.8 mm", "5.0 mm")}
advice = layshaft.recommend(believed, over, goal=wish, learned=learned)
for move in advice.moves:
    print(move.text)
plots.picture(plots.plateau_figure(advice))

# %% [markdown]
# How much does that depend on a single observation? Move the shift heard at the middle gap.


# %%
def if_heard(heard_km_per_h: float) -> object:
    changed = layshaft.observe(
        "shift_speed", heard_km_per_h / 3.6, changes={"two_speed.gap": gaps[1]}, error="1 km/h"
    )
    return plots.learned_band(layshaft.learn(believed, [seen[0], changed, seen[2]]))


plots.live(if_heard, heard_km_per_h=(60.0, 72.0, 0.5))

# %% [markdown]
# A fit says what the data say, no more: tyres, fuel and dust will differ tomorrow.
