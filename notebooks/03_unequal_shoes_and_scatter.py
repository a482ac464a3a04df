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
# # Unequal shoes, and how sure a setting is
#
# Two screws are never quite alike, nor are two readings of a caliper. What does that do?

# %%
import layshaft
from layshaft import plots

car = layshaft.demo_car()
gap = car.two_speed.shoe_1.gap
table = layshaft.sweep(
    car, {"two_speed.shoe_2.gap": [gap + off for off in (-2e-4, -1e-4, 0.0, 1e-4, 2e-4)]}
)
for name, scale, unit in (("shift_speed", 3.6, "km/h"), ("hand_over", 1.0, "s")):
    print(name, [f"{value * scale:.3g}" for value in table[name].values], unit)

# %% [markdown]
# Everything varies at once: caliper and slug of each shoe, spring, friction, grip. Which of them
# makes the shift vary? Measure that one better.

# %%
study = layshaft.scatter(car, samples=32)
low, high = (speed * 3.6 for speed in study.shift_range)
print(f"95 % of cars shift between {low:.1f} and {high:.1f} km/h")
plots.picture(plots.scatter_shares(study))

# %% [markdown]
# One shoe against the other. The torque comes in two steps when they are apart.


# %%
def torques(shoe_2_apart_mm: float) -> object:
    apart = car.replace({"two_speed.shoe_2.gap": gap + shoe_2_apart_mm * 1e-3})
    return plots.torques(layshaft.launch(apart, distance=30.0))


plots.live(torques, shoe_2_apart_mm=(-0.3, 0.3, 0.02))

# %% [markdown]
# One shoe out and the other in is out of balance: a car that shakes there wants equal screws.
