"""Random calls of the C interface, good and bad, against a twin that gets the good ones alone."""

import ctypes
import math
import random
from collections.abc import Callable
from pathlib import Path

import pytest
from layshaft import _core

OK, BAD_INPUT, STOPPED = 0, 1, 2
LIBRARY = Path(_core.__file__).parent / "lib" / "liblayshaft_c.so"

NUMBERS = [number for number, variable in enumerate(_core.variables()) if variable.role == "output"]
INPUTS = {"throttle": (0.0, 1.0), "brake": (0.0, 1.0), "grade": (-0.3, 0.3)}
PARAMETERS = {
    "two_speed.gap": (0.0044, 0.0052),
    "two_speed.shoe_1.gap": (0.0044, 0.0052),
    "first.pinion": (14, 18),
    "run.own_driver": (0, 1),
    "run.start_speed": (0.0, 12.0),
    "run.keep_changes": (0, 1),
}
ABSURD_TIMES = (math.nan, math.inf, -math.inf, -1.0, -1e-300, 1.1e6, 1e300)
ABSURD_VALUES = (math.nan, math.inf, -math.inf, -5.0, 2e6, 1e300)


class Event(ctypes.Structure):
    """`layshaft_event` of the header."""

    _fields_ = [
        ("size", ctypes.c_size_t),
        ("time", ctypes.c_double),
        ("part", ctypes.c_char_p),
        *((name, ctypes.c_int) for name in ("is_switch", "start", "end")),
        ("cause", ctypes.c_char_p),
    ]


class CCar:
    """A car behind the C interface; every call returns its status."""

    def __init__(self, library: ctypes.CDLL) -> None:
        self.c, self.handle = library, ctypes.c_void_p()
        assert library.layshaft_create(None, ctypes.byref(self.handle)) == OK

    def set(self, name: str, value: float) -> int:
        return self.c.layshaft_set(self.handle, name.encode(), ctypes.c_double(value))

    def step(self, time: float, to_event: bool = False) -> tuple[int, float]:
        step = self.c.layshaft_step_to_event if to_event else self.c.layshaft_step_to
        reached = ctypes.c_double(-7.0)
        return step(self.handle, ctypes.c_double(time), ctypes.byref(reached)), reached.value

    def reset(self) -> int:
        return self.c.layshaft_reset(self.handle)

    def get(self, name: str) -> float:
        value = ctypes.c_double(-7.0)
        assert self.c.layshaft_get(self.handle, name.encode(), ctypes.byref(value)) == OK
        return value.value

    def save(self) -> bytes:
        size = ctypes.c_size_t()
        assert self.c.layshaft_state_size(self.handle, ctypes.byref(size)) == OK
        state = ctypes.create_string_buffer(size.value)
        assert self.c.layshaft_save(self.handle, state, size) == OK
        return state.raw

    def load(self, state: bytes | None, size: int | None = None) -> int:
        room = state if state is None else ctypes.create_string_buffer(state, len(state) or 1)
        length = len(state or b"") if size is None else size
        return self.c.layshaft_load(self.handle, room, ctypes.c_size_t(length))

    def events(self) -> list[tuple[object, ...]]:
        found = []
        for number in range(self.c.layshaft_event_count(self.handle)):
            event = Event(size=ctypes.sizeof(Event))
            call = self.c.layshaft_get_event
            assert call(self.handle, ctypes.c_size_t(number), ctypes.byref(event)) == OK
            found.append((event.time, event.part, event.start, event.end, event.cause))
        return found

    def all_bits(self) -> tuple[object, ...]:
        """Return all that can be seen of the car."""
        numbers = (ctypes.c_size_t * len(NUMBERS))(*NUMBERS)
        values = (ctypes.c_double * len(NUMBERS))()
        many = self.c.layshaft_get_many
        assert many(self.handle, numbers, ctypes.c_size_t(len(NUMBERS)), values) == OK
        names = {*INPUTS, *PARAMETERS} - {"two_speed.gap"}  # The shoes may differ.
        set_now = {name: self.get(name) for name in names}
        return bytes(values), set_now, self.events(), self.save()

    def free(self) -> None:
        self.c.layshaft_destroy(self.handle)


def bad_call(dice: random.Random, car: CCar, now: float) -> int:
    """Make a call that must be refused; return its status."""
    handle, c = car.handle, car.c
    size, room = ctypes.c_size_t(), ctypes.c_double(-7.0)
    state = car.save()
    spoilt = bytearray(state)
    place = 8 * dice.randrange(len(state) // 8)
    spoilt[place : place + 8] = b"\xff" * 8  # Not a number.
    calls: list[Callable[[], int]] = [
        lambda: car.step(dice.choice(ABSURD_TIMES), dice.random() < 0.5)[0],
        lambda: car.step(math.nextafter(now, -1.0))[0],
        lambda: c.layshaft_step_to(handle, ctypes.c_double(now + 1.0), None),
        lambda: c.layshaft_step_to(None, ctypes.c_double(now + 1.0), ctypes.byref(room)),
        lambda: car.set(dice.choice([*INPUTS, *PARAMETERS]), dice.choice(ABSURD_VALUES)),
        lambda: car.set("car_speed", 1.0),
        lambda: car.set("two_speed.gapp", 0.0045),
        lambda: c.layshaft_set(handle, None, ctypes.c_double(0.5)),
        lambda: c.layshaft_set_text(handle, b"two_speed.gap", b"4.6 kg"),
        lambda: c.layshaft_set_text(handle, b"clutch.design", None),
        lambda: c.layshaft_get(handle, b"two_speed", ctypes.byref(room)),
        lambda: c.layshaft_get(handle, b"brake", None),
        lambda: c.layshaft_find(b"", ctypes.byref(size)),
        lambda: c.layshaft_find(b"brake", None),
        lambda: c.layshaft_get_many(handle, None, ctypes.c_size_t(2), ctypes.byref(room)),
        lambda: c.layshaft_get_event(handle, ctypes.c_size_t(10**9), ctypes.byref(Event(size=8))),
        lambda: c.layshaft_get_event(None, ctypes.c_size_t(0), ctypes.byref(Event(size=8))),
        lambda: c.layshaft_save(handle, ctypes.byref(room), ctypes.c_size_t(8)),
        lambda: c.layshaft_save(handle, None, ctypes.c_size_t(len(state))),
        lambda: c.layshaft_state_size(handle, None),
        lambda: car.load(None, len(state)),
        lambda: car.load(state, 0),
        lambda: car.load(state[:-8]),
        lambda: car.load(state, len(state) - 3),
        lambda: car.load(state, 2**63),
        lambda: car.load(bytes(spoilt)),
        lambda: car.load(b"\0" * len(state)),
        lambda: c.layshaft_reset(None),
        lambda: c.layshaft_create(b"two_speed.gap = 4.6", ctypes.byref(ctypes.c_void_p())),
        lambda: c.layshaft_create(None, None),
    ]
    return dice.choice(calls)()


def good_call(
    dice: random.Random, cars: list[CCar], saved: list[tuple[bytes, float]], now: float
) -> float:
    """Make a call that is right on each car and return the time after it."""
    kind = dice.random()
    if kind < 0.35:
        name = dice.choice(list(INPUTS))
        value = dice.choice((INPUTS[name][0], dice.uniform(*INPUTS[name])))
        assert len({car.set(name, value) for car in cars}) == 1
    elif kind < 0.8:
        end, to_event = now + dice.choice((0.0, 0.001, 0.013, 0.2)), dice.random() < 0.3
        outcomes = {car.step(end, to_event) for car in cars}
        assert len(outcomes) == 1
        status, reached = outcomes.pop()
        now = reached if status == OK else now
    elif kind < 0.86:
        name = dice.choice(list(PARAMETERS))
        low, high = PARAMETERS[name]
        value = dice.randint(low, high) if isinstance(low, int) else dice.uniform(low, high)
        assert {car.set(name, value) for car in cars} == {OK}
    elif kind < 0.9:
        statuses = {car.reset() for car in cars}
        assert len(statuses) == 1
        now = 0.0 if statuses == {OK} else now
    elif kind < 0.95 or not saved:
        states = {car.save() for car in cars}
        assert len(states) == 1
        saved.append((states.pop(), now))
    else:
        state, now = dice.choice(saved)
        assert {car.load(state) for car in cars} == {OK}
    return now


@pytest.fixture(scope="module")
def c() -> ctypes.CDLL:
    library = ctypes.CDLL(str(LIBRARY))
    library.layshaft_last_error.restype = ctypes.c_char_p
    library.layshaft_event_count.restype = ctypes.c_size_t
    return library


@pytest.mark.parametrize("seed", range(12))
def test_bad_calls_leave_a_car_as_its_twin_that_never_got_them(c: ctypes.CDLL, seed: int) -> None:
    dice = random.Random(seed)
    attacked, twin = CCar(c), CCar(c)
    now, saved = 0.0, []
    refused = 0
    for _ in range(250):
        if dice.random() < 0.5:
            status = bad_call(dice, attacked, now)
            assert status == BAD_INPUT
            refused += 1
        else:
            now = good_call(dice, [attacked, twin], saved, now)
        assert attacked.all_bits() == twin.all_bits()
    assert refused > 80
    attacked.free()
    twin.free()
