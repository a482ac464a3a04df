"""Motion of the car while no mode changes, and the search for the modes where one does.

Imports nothing of the library it checks.
"""

import itertools
import math
from dataclasses import dataclass

import laws
import numpy as np
from drivetrain import BACK, COUPLINGS, NEGATIVE, NODES, OPEN, POSITIVE, STATES, STUCK

#: Slip [rad/s, m/s], torque [N*m, N] and slip acceleration that count as none: above round-off.
NO_SLIP, NO_TORQUE, NO_ACCELERATION = 1e-8, 1e-9, 1e-6


@dataclass(frozen=True)
class Modes:
    """What couplings and switches do between two instants, and the pedals meanwhile."""

    couplings: dict
    clutch_on: bool
    shoes_out: tuple
    throttle: tuple  # offset, slope [1/s]
    brake: tuple

    def is_open(self, name):
        if name == "clutch":
            return not self.clutch_on
        return name == "second" and not any(self.shoes_out)


def constrained(car, rows, pushes):
    """Return matrices from forces to accelerations and to reactions, `rows` kept without slip."""
    n, count = len(NODES), len(rows)
    system = np.zeros((n + count, n + count))
    system[:n, :n] = np.diag(car.inertia)
    for k, (row, push) in enumerate(zip(rows, pushes, strict=True)):
        system[:n, n + k] = push
        system[n + k, :n] = row
    inverse = np.linalg.inv(system)
    return inverse[:n, :n], inverse[n:, :n]


class Motion:
    """Right-hand side with frozen modes."""

    def __init__(self, car, modes, *, turns_back=False):
        self.car, self.modes = car, modes
        self.turns_back = turns_back or modes.couplings["brake"] == NEGATIVE
        self.stuck = [n for n in COUPLINGS if modes.couplings[n] in (STUCK, BACK)]
        self.sliding = [n for n in COUPLINGS if modes.couplings[n] in (POSITIVE, NEGATIVE)]
        rows = [car.slip[n] for n in self.stuck]
        self.accelerate, self.react = constrained(car, rows, [self.push(n) for n in self.stuck])

    def push(self, name):
        """Row with which the coupling's torque acts: the side where work enters pays for the loss.

        Which side that is turns with the sign of the torque, and with that of the shaft's speed.
        """
        forward = self.modes.couplings[name] in (STUCK, POSITIVE)
        return self.car.push[name] if forward != self.turns_back else self.car.pull[name]

    def applied(self, y, forces, radii):
        car, engine = self.car, self.car.setup["engine"]
        crank, speed, opening = y[0], y[5], y[9]
        pull = opening * car.full_torque(crank)
        pull += (1 - opening) * engine["drag_slope"] * (engine["idle_speed"] - crank)
        drag = car.drag * speed * abs(speed)
        return np.array([
            pull, 0, 0, -forces[0] * radii[0], -forces[1] * radii[1],
            forces[0] + forces[1] - drag - car.grade_force,
        ])  # fmt: skip

    def limits(self, time, y, loads, *, at_rest):
        pedal = self.modes.brake[0] + self.modes.brake[1] * time
        modes = self.modes
        return self.car.limits(y, modes.shoes_out, modes.clutch_on, pedal, loads, at_rest=at_rest)

    def forces(self, time, y):
        """Accelerations of the bodies, torques of the couplings, axle values, applied torques."""
        loads, forces, radii, tyres = self.car.axles(y)
        applied = self.applied(y, forces, radii)
        limits = self.limits(time, y, loads, at_rest=False)
        torques = dict.fromkeys(COUPLINGS, 0.0)
        total = applied.copy()
        for name in self.sliding:
            torques[name] = limits[name][self.modes.couplings[name] == POSITIVE]
            total -= self.push(name) * torques[name]
        torques.update(zip(self.stuck, (self.react @ total).tolist(), strict=True))
        return self.accelerate @ total, torques, (loads, forces, radii, tyres), applied

    def __call__(self, time, state):
        y = state.tolist()
        accelerations, torques, axles, applied = self.forces(time, y)
        rates = dict(zip(NODES, accelerations.tolist(), strict=True))
        self._tyres(y, axles, rates)
        self._driver_and_load(time, y, rates)
        self._losses(y, state[: len(NODES)], torques, rates)
        self._engine(y, applied, rates)
        return np.array([rates[name] for name in STATES])

    def _tyres(self, y, axles, rates):
        _, forces, radii, tyres = axles
        speed = y[5]
        for k, name in enumerate(("rear", "front")):
            rates[f"{name}_strain"], rates[f"{name}_slip"] = tyres[k].strain, tyres[k].seen
            slipping = y[3 + k] * radii[k] - speed
            rates[f"{name}_tyre_loss"] = forces[k] * slipping - tyres[k].stored
        rates["tyre_stored"] = sum(tyre.stored for tyre in tyres)
        rates["distance"] = speed
        rates["air_loss"] = self.car.drag * abs(speed) ** 3
        rates["grade_work"] = self.car.grade_force * speed

    def _driver_and_load(self, time, y, rates):
        setup, car = self.car.setup, self.car
        moved = car.lever * (setup["body"]["mass"] * rates["car"] + car.grade_force)
        rates["load_transfer"] = (moved - y[8]) / setup["body"]["load_transfer_time"]
        asked = self.modes.throttle[0] + self.modes.throttle[1] * time
        expected = y[6] + setup["driver"]["anticipation"] * rates["rear_slip"]
        eased = asked / (1 + (max(expected, 0.0) / setup["driver"]["slip_target"]) ** 2)
        rates["throttle_opening"] = (eased - y[9]) / setup["driver"]["response_time"]

    def _losses(self, y, speeds, torques, rates):
        car = self.car
        # What a coupling takes out of the bodies it joins is lost in it: slip, mesh and belt alike.
        lost = {}
        for name in COUPLINGS:
            moving = torques[name] != 0.0
            lost[name] = torques[name] * float(self.push(name) @ speeds) if moving else 0.0
        slip_power = {name: torques[name] * float(car.slip[name] @ speeds)
                      for name in ("clutch", "second")}  # fmt: skip
        rates["clutch_loss"] = slip_power["clutch"]
        rates["shoe_loss"] = slip_power["second"]
        rates["mesh_loss"] = lost["first"] + lost["second"] - slip_power["second"]
        rates["belt_loss"] = lost["rear_belt"] + lost["front_belt"]
        rates["brake_loss"], rates["rolling_loss"] = lost["brake"], lost["rolling"]
        clutch = laws.heat_rates(car.setup["clutch"]["heat"], y[10], y[11], slip_power["clutch"])
        shoes = laws.heat_rates(car.setup["two_speed_heat"], y[12], y[13], slip_power["second"])
        rates["clutch_surface"], rates["clutch_body"] = clutch
        rates["shoe_surface"], rates["shoe_body"] = shoes

    def _engine(self, y, applied, rates):
        engine, torque = self.car.setup["engine"], float(applied[0])
        rates["engine_work"] = torque * y[0]
        gas = max(torque + engine["drag_slope"] * y[0], 0.0)
        rates["fuel"] = gas * y[0] / (engine["efficiency"] * self.car.heating_value)


def torque_turning_back(motion, time, y):
    """Torque that keeps the shaft at rest if it is about to turn back, its losses turned round."""
    return Motion(motion.car, motion.modes, turns_back=True).forces(time, y.tolist())[1]["brake"]


def guards(motion, time, y):
    """Numbers that are positive while the modes hold, by (kind, part)."""
    car, modes = motion.car, motion.modes
    _, torques, (loads, *_), _ = motion.forces(time, y.tolist())
    hold = motion.limits(time, y, loads, at_rest=True)
    values = {}
    for name in COUPLINGS:
        mode, torque, (low, high) = modes.couplings[name], torques[name], hold[name]
        if name == "brake" and mode == STUCK:
            values["high", name] = high - torque
            values["low", name] = torque_turning_back(motion, time, y) - low
        elif mode in (POSITIVE, NEGATIVE):
            slip = float(car.slip[name] @ y[: len(NODES)])
            values["slip", name] = slip if mode == POSITIVE else -slip
        elif mode == STUCK:
            if high < math.inf:
                values["high", name] = high - torque
            turns = car.lossy[name] and low < 0
            values["turn" if turns else "low", name] = torque if turns else torque - low
        elif mode == BACK:
            values["turn", name] = -torque
            values["low", name] = torque - low
    excess = (y[0] ** 2 - car.engaged_squared) / car.engaged_squared
    values["switch", "clutch"] = excess if modes.clutch_on else -excess
    for k, (shoe, out) in enumerate(zip(car.shoes, modes.shoes_out, strict=True)):
        left = y[2] ** 2 - shoe.back_squared if out else shoe.out_squared - y[2] ** 2
        values["switch", f"shoe_{k + 1}"] = left / shoe.out_squared
    return values


def find_modes(car, time, y, before, fired=(None, None)):
    """Modes of all couplings at an instant: tries every combination for those without slip."""
    kind, part = fired
    couplings, choices = {}, {}
    for name in COUPLINGS:
        slip = float(car.slip[name] @ y[: len(NODES)])
        was_stuck = before.couplings.get(name) in (STUCK, BACK)
        if before.is_open(name):
            couplings[name] = OPEN
        elif was_stuck or abs(slip) < NO_SLIP or (name == part and kind != "switch"):
            choices[name] = [STUCK, BACK] if car.lossy[name] else [STUCK]
            choices[name] += [NEGATIVE] if name == "first" else [POSITIVE, NEGATIVE]
        else:
            couplings[name] = POSITIVE if slip > 0 else NEGATIVE
    # Where breakaway is above sliding, a row that just broke away could stick as well: it slides.
    if kind in ("high", "low"):
        choices[part] = [POSITIVE if kind == "high" else NEGATIVE]
    if kind == "turn":
        choices[part] = [STUCK if before.couplings[part] == BACK else BACK, POSITIVE, NEGATIVE]
    combinations = itertools.product(*choices.values())
    for combination in sorted(
        combinations, key=lambda modes: sum(mode in (POSITIVE, NEGATIVE) for mode in modes)
    ):
        tried = couplings | dict(zip(choices, combination, strict=True))
        modes = Modes(tried, before.clutch_on, before.shoes_out, before.throttle, before.brake)
        if is_consistent(car, time, y, modes, choices, fired):
            return modes
    raise ArithmeticError(f"no modes at {time} s")


def is_consistent(car, time, y, modes, choices, fired):
    """Whether stuck rows stay inside their limits at rest and sliding ones start the right way."""
    try:
        motion = Motion(car, modes)
    except np.linalg.LinAlgError:
        return False
    accelerations, torques, (loads, *_), _ = motion.forces(time, y.tolist())
    hold = motion.limits(time, y, loads, at_rest=True)
    for name in choices:
        mode, torque, (low, high) = modes.couplings[name], torques[name], hold[name]
        if mode == STUCK and name == "brake":
            # Held where it would move neither forwards nor backwards.
            back = torque_turning_back(motion, time, y)
            if torque > high + NO_TORQUE or back < low - NO_TORQUE:
                return False
            continue
        if mode == STUCK:
            low = 0.0 if car.lossy[name] else low
        elif mode == BACK:
            # A row without torque counts as stuck forwards, unless it is turning back just now.
            high = 0.0 if fired == ("turn", name) else -2 * NO_TORQUE
        if mode in (STUCK, BACK):
            if not low - NO_TORQUE <= torque <= high + NO_TORQUE:
                return False
            continue
        start = float(car.slip[name] @ accelerations) * (1 if mode == POSITIVE else -1)
        # The row that broke away starts with no acceleration where both frictions are the same.
        if start < (-NO_ACCELERATION if name == fired[1] else NO_ACCELERATION):
            return False
    return True
