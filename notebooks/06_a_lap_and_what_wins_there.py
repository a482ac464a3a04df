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
# # A lap, and the setting that wins there
#
# A launch alone cannot tell the right gap and gearing: that depends on the corners, the straight,
# and where a shift would upset the car. Two tracks come with the package, a tight one and a fast
# one. Both are invented; your own is a file of segments (TOML) or of points along the driven line
# (CSV).

# %%
import layshaft
import numpy as np
from layshaft import plots, reports

car = layshaft.demo_car()
club, fast = (layshaft.demo_track(name) for name in ("club", "fast"))
print(club, fast, sep="\n")

# %% [markdown]
# One flying lap: it is driven until it ends as it began, the temperatures of clutch and two-speed
# too. The line is given and kept; going round corners takes grip from driving and braking. A mark
# with a thick edge is a shift in a corner or just before one; common practice: never there.

# %%
run = layshaft.lap(car, club)
print("\n".join(reports.lap_sentences(run)))
plots.picture(plots.lap_story(run))

# %% [markdown]
# At which engine speeds is the time spent? The gears should lift those below the engine's power.

# %%
plots.picture(plots.engine_shares(run))

# %% [markdown]
# Move the gap and watch where the shifts go. Laps take longer than a hand waits, so all that the
# slider can ask for are driven in the background, as coarsely as makes a tenth of a millisecond.


# %%
def driven(gap_mm: float, track: str) -> object:
    changed = car.replace({"two_speed.gap": gap_mm * 1e-3})
    return layshaft.lap(changed, track, tolerance=1e-4)


plots.live(plots.engine_trace, driven, gap_mm=(3.4, 5.4, 0.1), track=["club", "fast"])

# %% [markdown]
# Gap and gears together, on both tracks. Both pinions get larger by as many teeth as the spurs get
# smaller, so that the centre distance stays. The frame encloses what loses less than 0.05 s on
# average over a gap that is a little out; the numbers are milliseconds lost, those after a bar the
# shifts in corners or just before them.

# %%
sets = [
    {"first.pinion": 17 + k, "first.spur": 50 - k, "second.pinion": 22 + k, "second.spur": 45 - k}
    for k in range(-2, 5)
]
gaps = np.arange(3.4, 5.25, 0.2) * 1e-3
tables = {
    track.name: layshaft.gear_map(car, track, gears=sets, gaps=gaps) for track in (club, fast)
}
for name, table in tables.items():
    best = layshaft.best_gears(table)
    print(f"{name}: {best['gears']}, gap {best['gap'] * 1e3:.1f} mm, {best['lap_time']:.3f} s")

# %%
plots.picture(plots.gear_map_picture(tables[club.name]))

# %%
plots.picture(plots.gear_map_picture(tables[fast.name]))

# %% [markdown]
# The fast track wants taller gears: its straights end at the engine's limit with short ones. The
# gaps that lose nothing to speak of overlap on both tracks; a reading above them, an early shift,
# drops the engine below its power and lets it shift in corners. Gears too short for the straights
# lose far more than any gap.

# %% [markdown]
# Advice, scatter and learning work on lap times as on launches: give them a `track`.

# %%
goal = layshaft.goals.quickest(track=fast, within="0.05 s")
advice = layshaft.recommend(car, {"two_speed.gap": layshaft.Between("3.6 mm", "4.8 mm")}, goal=goal)
print([move.text for move in advice.moves], f"{advice.gain:.3f} s quicker")

# %%
seen = [
    layshaft.observe("time", "16.3 s", error="0.1 s", track="club"),
    layshaft.observe("time", "17.9 s", error="0.1 s", track="fast"),
]
learned = layshaft.learn(car, seen, ["rear_tyre.friction_peak"])
for each in learned.intervals:
    print(f"{each.path}: {each.value:.2f}, with 95 % from {each.low:.2f} to {each.high:.2f}")
