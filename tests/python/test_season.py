"""What is learned carries from day to day, with the noise of a day.

Expected values come from worked numbers and from plain conditioning of one dense Gaussian over all
days, with numpy and scipy alone.
"""

import tempfile
from pathlib import Path

import layshaft
import numpy as np
import pytest
from layshaft.logbook.carry import Belief, Told, a_day_later, at_first, of_a_day, taught
from scipy.stats import binom

ZERO = "two_speed.zero_preload_reading"
#: Round-off: a few matrices of a few rows, numbers of the order of 1.
ROUND_OFF = 1e-10


def carried(days: list[Told], noise: float, drift: float) -> list[tuple[Belief, Belief]]:
    known, found = at_first(len(days[0].pull)), []
    for count, told in enumerate(days):
        known = a_day_later(known, drift) if count else known
        known, of_day = taught(known, noise, told)
        found.append((known, of_day))
    return found


def dense(
    slopes: list[np.ndarray], seen: list[np.ndarray], noise: float, drift: float
) -> tuple[Belief, Belief]:
    """Condition the joint normal distribution of all truths, all days and all that was seen.

    Observations of unit error, seen = slopes x + error. Returns what is known of the last truth and
    of the last day's numbers.
    """
    days, count = len(slopes), slopes[0].shape[1]
    steps = np.eye(days * count)
    steps[count:] *= drift
    # A truth is the sum of the steps up to it.
    sums = np.kron(np.tril(np.ones((days, days))), np.eye(count))
    truths = sums @ steps
    # The sources of chance: steps of the truth, deviations of the days, errors.
    total = sum(len(each) for each in seen)
    truth_of = np.hstack([truths, np.zeros((days * count, days * count + total))])
    deviation = np.hstack(
        [np.zeros_like(truths), noise * np.eye(days * count), np.zeros((days * count, total))]
    )
    day_of = truth_of + deviation
    blocks = np.zeros((total, days * count))
    row = 0
    for day, each in enumerate(slopes):
        blocks[row : row + len(each), day * count : (day + 1) * count] = each
        row += len(each)
    seen_of = blocks @ day_of
    seen_of[:, -total:] += np.eye(total)
    everything = np.concatenate(seen)
    found = []
    for wanted in (truth_of[-count:], day_of[-count:]):
        gain = np.linalg.solve(seen_of @ seen_of.T, seen_of @ wanted.T).T
        found.append(Belief(gain @ everything, wanted @ wanted.T - gain @ seen_of @ wanted.T))
    return found[0], found[1]


def test_one_day_by_hand() -> None:
    """Doubt 1, noise 1/2, error 1/2: the day has variance 5/4, what is seen 3/2."""
    told = Told(np.array([[4.0]]), np.array([4.0 * 3.0]))  # seen: 3 +/- 1/2
    (((truth, day)),) = carried([told], noise=0.5, drift=0.1)
    assert truth.mean[0] == pytest.approx(3.0 * 1.0 / 1.5, abs=ROUND_OFF)
    assert truth.covariance[0, 0] == pytest.approx(1.0 - 1.0 / 1.5, abs=ROUND_OFF)
    assert day.mean[0] == pytest.approx(3.0 * 1.25 / 1.5, abs=ROUND_OFF)
    assert day.covariance[0, 0] == pytest.approx(1.25 - 1.25**2 / 1.5, abs=ROUND_OFF)


@pytest.mark.parametrize(("noise", "drift"), [(0.25, 0.1), (0.0, 0.0), (1.5, 0.0), (0.0, 0.7)])
def test_days_as_one_dense_gaussian(noise: float, drift: float) -> None:
    generator = np.random.default_rng(5)
    # The third day tells of one mixture alone: its information is singular.
    slopes = [generator.normal(size=(rows, 3)) for rows in (4, 2, 1, 5)]
    seen = [generator.normal(size=len(each)) for each in slopes]
    days = [Told(a.T @ a, a.T @ y) for a, y in zip(slopes, seen, strict=True)]
    for count, found in enumerate(carried(days, noise, drift), start=1):
        for own, other in zip(
            found, dense(slopes[:count], seen[:count], noise, drift), strict=True
        ):
            np.testing.assert_allclose(own.mean, other.mean, atol=ROUND_OFF)
            np.testing.assert_allclose(own.covariance, other.covariance, atol=ROUND_OFF)


def test_many_runs_of_one_day_leave_the_noise_of_a_day() -> None:
    exact = Told(np.array([[1e9]]), np.array([0.0]))
    for days in (1, 4):
        (*_, (truth, day)) = carried([exact] * days, noise=0.5, drift=0.0)
        # The mean of as many deviations, beside a guess of doubt 1.
        assert truth.covariance[0, 0] == pytest.approx(1.0 / (1.0 + days / 0.25), rel=1e-6)
        assert day.covariance[0, 0] == pytest.approx(1e-9, rel=1e-6)


def test_a_day_without_anything_seen_teaches_nothing() -> None:
    nothing = Told(np.zeros((2, 2)), np.zeros(2))
    truth, day = taught(at_first(2), 0.5, nothing)
    np.testing.assert_allclose(truth.covariance, np.eye(2), atol=ROUND_OFF)
    np.testing.assert_allclose(day.covariance, of_a_day(at_first(2), 0.5).covariance)


def season_of(
    car: layshaft.Car, days: list[list[layshaft.Observation]], unknown: list, **options: float
) -> layshaft.Season:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder, "season.db")
        with layshaft.open_logbook(path, create=True) as book:
            book.add_setup("dry", car)
            for number, seen in enumerate(days, start=1):
                book.add_day(f"2026-05-{number:02}")
                book.add_run(f"2026-05-{number:02}", "dry", seen)
            return layshaft.learn_season(book, unknown, **options)


def heard(speed: float, gap: str) -> layshaft.Observation:
    changes = {"two_speed.gap": gap}
    return layshaft.observe("shift_speed", float(speed), changes=changes, error="1 km/h")


def test_one_day_without_noise_is_what_learn_finds() -> None:
    car = layshaft.demo_car()
    seen = [heard(18.0, "4.4 mm"), heard(16.0, "4.8 mm")]
    unknown = [ZERO, "two_speed.friction"]
    season = season_of(car, [seen], unknown, noise=0.0, drift=0.0)
    alone = layshaft.learn(car, seen, unknown)
    doubts = np.array([each.doubt for each in alone.unknowns])
    off = (np.array(season.learned.values) - alone.values) / doubts
    np.testing.assert_allclose(off, 0.0, atol=1e-3)  # of a doubt: where the fit stops
    scaled = (season.learned.covariance - alone.covariance) / np.outer(doubts, doubts)
    np.testing.assert_allclose(scaled, 0.0, atol=1e-9)


def test_logs_teach_as_they_teach_learn_and_stand_behind_all_that_was_heard() -> None:
    car = layshaft.demo_car()
    log = layshaft.run_log("car_speed", [0.5, 1.0], [5.0, 11.0], error="1 km/h")
    seen = [heard(18.0, "4.4 mm"), heard(16.0, "4.8 mm")]
    unknown = [ZERO, "rear_tyre.friction_peak"]
    season = season_of(car, [[log, seen[0]], [seen[1]]], unknown, noise=0.0, drift=0.0)
    alone = layshaft.learn(car, [*seen, log], unknown)
    doubts = np.array([each.doubt for each in alone.unknowns])
    off = (np.array(season.learned.values) - alone.values) / doubts
    np.testing.assert_allclose(off, 0.0, atol=1e-2)  # of a doubt: a day is taken as normal
    assert [each.value for each in season.learned.numbers] == [18.0, 16.0]
    assert season.learned.seen.tolist() == [18.0, 16.0, 5.0, 11.0]
    assert season.learned.shown[2:] == pytest.approx(alone.shown[2:], rel=1e-2)
    assert season.learned.end == "settled"


def test_the_noise_of_a_day_is_on_the_next_day_once_more() -> None:
    car = layshaft.demo_car()
    season = season_of(car, [[heard(18.0, "4.4 mm")]] * 3, [ZERO], noise=0.3, drift=0.2)
    doubt = season.learned.unknowns[0].doubt
    truth = season.days[-1].truth[0]
    later = season.next_day.covariance[0, 0] / doubt**2
    assert later == pytest.approx(truth.doubt_left**2 + 0.2**2 + 0.3**2, rel=1e-9)
    assert season.next_day.values[0] == pytest.approx(truth.value, rel=1e-12)
    assert [day.seen for day in season.days] == [1, 1, 1]


def test_a_learned_season_goes_on_into_advice(tmp_path: Path) -> None:
    car = layshaft.demo_car()
    season = season_of(car, [[heard(18.0, "4.4 mm")], [heard(17.0, "4.6 mm")]], [ZERO])
    for found in (season.learned, season.next_day):
        found.save(tmp_path / "learned.json")
        back = layshaft.read_learned(tmp_path / "learned.json")
        assert back.values == found.values
        goal = layshaft.goals.shift_at("65 km/h")
        assert layshaft.recommend(back.car, learned=back, goal=goal).confidence is not None
        assert len(found.numbers) == 2


def narrow_zero(car: layshaft.Car) -> layshaft.Unknown:
    """Return a doubt within which every car shifts at the gaps that are heard."""
    return layshaft.unknown(car, ZERO, doubt="0.12 mm")


def made_up_seasons(count: int, days: int, noise: float, drift: float) -> list[tuple]:
    """Make cars whose zero reading wanders and deviates by the day, and hear their shifts."""
    car, generator = layshaft.demo_car(), np.random.default_rng(20)
    zero = narrow_zero(car)
    gaps, error = (4.5, 4.8), 1.0 / 3.6
    steps = generator.normal(size=(count, days)) * zero.doubt
    steps[:, 1:] *= drift
    truths = zero.guess + np.cumsum(steps, axis=1)
    own = truths + noise * zero.doubt * generator.normal(size=(count, days))
    cases = [
        {ZERO: float(value), "two_speed.gap": f"{gap} mm"} for value in own.ravel() for gap in gaps
    ]
    shifts = layshaft.run_cases(car, cases).shift_speed.values.reshape(count, days, len(gaps))
    shifts = shifts + error * generator.normal(size=shifts.shape)
    seen = [
        [[heard(s, f"{gap} mm") for s, gap in zip(day, gaps, strict=True)] for day in each]
        for each in shifts
    ]
    return list(zip(truths, own, seen, strict=True))


@pytest.mark.slow
def test_intervals_of_made_up_seasons_hold_what_was_put_in() -> None:
    """As often as they say; those that know of no noise of a day do not."""
    count, noise, drift = 40, 0.5, 0.1
    car = layshaft.demo_car()
    wanted = [narrow_zero(car)]
    held = {"truth": 0, "day": 0, "all days as one": 0}
    for truths, own, seen in made_up_seasons(count, 4, noise, drift):
        last = season_of(car, seen, wanted, noise=noise, drift=drift).days[-1]
        held["truth"] += last.truth[0].low <= truths[-1] <= last.truth[0].high
        held["day"] += last.day[0].low <= own[-1] <= last.day[0].high
        everything = [each for day in seen for each in day]
        pooled = layshaft.learn(car, everything, wanted).intervals[0]
        held["all days as one"] += pooled.low <= truths[-1] <= pooled.high
    least = binom.ppf(1e-3, count, 0.95)  # by chance fewer once in a thousand
    assert held["truth"] >= least
    assert held["day"] >= least
    assert held["all days as one"] < least


def test_each_run_counts_with_its_own_set_up_and_the_air_of_its_day(tmp_path: Path) -> None:
    """Told as changes from one car, or as set-ups and weather: the same is learned."""
    car = layshaft.demo_car()
    other = car.replace({"two_speed.gap": "4.7 mm", "first.pinion": 16})
    air = {"air.temperature": "31 degC", "air.pressure": "960 hPa"}
    with layshaft.open_logbook(tmp_path / "season.db", create=True) as book:
        book.add_setup("other", other)
        book.add_setup("dry", car)
        book.add_day("2026-05-02", air_temperature="31 degC", air_pressure="960 hPa")
        book.add_run("2026-05-02", "other", [layshaft.observe("shift_speed", 16.0)])
        book.add_run("2026-05-02", "dry", [heard(18.0, "4.4 mm")])
        found = layshaft.learn_season(book, [ZERO], noise=0.0).learned
    in_air = car.replace(air)
    changes = {"two_speed.gap": "4.7 mm", "first.pinion": 16}
    seen = [layshaft.observe("shift_speed", 16.0, changes=changes), heard(18.0, "4.4 mm")]
    assert found.values == pytest.approx(layshaft.learn(in_air, seen, [ZERO]).values, rel=1e-6)
    assert found.believed == in_air


def test_what_a_day_would_have_shown_is_in_its_own_air(tmp_path: Path) -> None:
    """Hot and low one day, as the set-up says on the other: each by a launch of that car."""
    car = layshaft.demo_car()
    with layshaft.open_logbook(tmp_path / "season.db", create=True) as book:
        book.add_setup("dry", car)
        book.add_day("2026-05-02", air_temperature="35 degC", air_pressure="900 hPa")
        book.add_day("2026-05-09")
        for date in ("2026-05-02", "2026-05-09"):
            book.add_run(date, "dry", [layshaft.observe("time", "3.3 s", distance="60 m")])
        found = layshaft.learn_season(book, [ZERO]).learned
    hot = car.replace({"air.temperature": "35 degC", "air.pressure": "900 hPa"})
    times = [float(layshaft.launch(each, distance="60 m").times[-1]) for each in (hot, car)]
    assert times[0] - times[1] > 0.05  # thin air
    assert found.shown_before.tolist() == times


def test_what_cannot_be_learned_is_refused(tmp_path: Path) -> None:
    car = layshaft.demo_car()
    with layshaft.open_logbook(tmp_path / "season.db", create=True) as book:
        with pytest.raises(ValueError, match="no run in which anything was heard, timed or logged"):
            layshaft.learn_season(book)
        book.add_day("2026-05-02")
        book.add_setup("soft", car.replace({"two_speed.spring_rate": "60 N/mm"}))
        book.add_setup("broad", layshaft.demo_car("broad"))
        book.add_setup("dry", car)
        soft = book.add_run("2026-05-02", "soft", [heard(16.0, "4.4 mm")])
        book.add_run("2026-05-02", "dry", [heard(18.0, "4.4 mm")])
        says = r"setup = 'soft' has another two_speed.spring_rate than the last run's"
        with pytest.raises(ValueError, match=says):
            layshaft.learn_season(book)
        assert layshaft.learn_season(book, [ZERO]).days[0].seen == 2
        for name in ("noise", "drift"):
            with pytest.raises(ValueError, match=rf"{name} = -1 must be from 0 to 10 doubts"):
                layshaft.learn_season(book, [ZERO], **{name: -1})
        book.remove_run(soft)
        broad = book.add_run("2026-05-02", "broad", [heard(18.0, "4.4 mm")])
        book.add_run("2026-05-02", "dry", [heard(18.0, "4.4 mm")])
        with pytest.raises(ValueError, match=r"setup = 'broad' has another engine.torque curve"):
            layshaft.learn_season(book)
        book.remove_run(broad)
        far = layshaft.observe("shift_speed", 18.0, changes={"two_speed.gap": "2 mm"})
        book.add_day("2026-05-03")
        book.add_run("2026-05-03", "dry", [far])
        with pytest.raises(ValueError, match="day = 2026-05-03: the starting car reproduces none"):
            layshaft.learn_season(book)
    with pytest.raises(TypeError, match=r"book = 'season.db' must be a Logbook"):
        layshaft.learn_season("season.db")
