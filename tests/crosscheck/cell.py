#!/usr/bin/env python3
"""The cell of cell.yaml, written a second time with SimPy.

In: nothing. Out: results.json beside this file, or on the standard output with `-`.

This program shares neither code nor random draws with the simulator it checks; it was written from the
documented behaviour (docs/concepts/mechanism.md, docs/reference/scenario.md). Times are minutes from Monday
midnight, lengths metres. Python 3.9 or later, SimPy as in requirements.txt.
"""

import json
import math
import random
import sys

import simpy

SEED = 4127
REPLICATIONS = 60
DAY = 1440.0
WEEK = 7 * DAY
WARM_UP, MEASURE, RUN_OUT = 4 * WEEK, 26 * WEEK, 4 * WEEK


def lognormal(rng, mean, cv):
    sigma2 = math.log(1 + cv * cv)
    return rng.lognormvariate(math.log(mean) - sigma2 / 2, math.sqrt(sigma2))


class Shift:
    """Open Monday to Friday from 06:00 to some hour."""

    def __init__(self, closes_hour):
        self.opens, self.closes = 6 * 60.0, closes_hour * 60.0

    def open_until(self, now):
        """The closing time if open at `now`, else None."""
        day, minute = divmod(now, DAY)
        if day % 7 < 5 and self.opens <= minute < self.closes:
            return day * DAY + self.closes
        return None

    def next_opening(self, now):
        day = math.floor(now / DAY)
        while True:
            if day % 7 < 5 and day * DAY + self.opens > now:
                return day * DAY + self.opens
            day += 1

    def after(self, now, minutes):
        """When it has been open for so many minutes, counted from `now`."""
        while True:
            closes = self.open_until(now)
            if closes is None:
                now = self.next_opening(now)
                continue
            if closes - now >= minutes:
                return now + minutes
            minutes -= closes - now
            now = closes

    def open_minutes(self, start, end):
        days = range(int(start // DAY), int(end // DAY) + 1)
        return sum(
            max(0.0, min(end, d * DAY + self.closes) - max(start, d * DAY + self.opens))
            for d in days
            if d % 7 < 5
        )


ONE_SHIFT, TWO_SHIFTS = Shift(14), Shift(22)

# pitch m, lanes on the web, laminator, hold to slit, to pouch, to ship, cycles on either pouch machine
PRODUCTS = {
    "small": (0.130, 1, "thermal_laminator", 60.0, 60.0, 60.0, (75.0, 60.0)),
    "large": (0.180, 1, "thermal_laminator", 60.0, 60.0, 60.0, (75.0, 60.0)),
    "food": (0.150, 2, "solventless_laminator", 24 * 60.0, 48 * 60.0, 72 * 60.0, (120.0, 90.0)),
}
LAMINATORS = {  # start waste m, speed, ramp, changeover mean and cv
    "thermal_laminator": (20.0, 30.0, 5.0, 20.0, 0.4),
    "solventless_laminator": (50.0, 150.0, 8.0, 30.0, 0.3),
}


def whole(metres):
    return math.ceil(metres - 1e-6)


def run_minutes(metres, speed, ramp):
    """Speeding up and slowing down at `ramp` (m/min in a second); a short web never reaches its speed."""
    ramp *= 60.0
    if metres * ramp >= speed * speed:
        return metres / speed + speed / ramp
    return 2 * math.sqrt(metres / ramp)


class Order:
    def __init__(self, number, now, product, quantity, promise):
        self.number, self.released, self.product = number, now, product
        self.due = now + promise
        pitch, lanes, laminator = PRODUCTS[product][:3]
        # Backward, whole metres at each step: pouches, slitting, laminating.
        pouching = whole(quantity * pitch / 0.97 + 40)
        slitting = whole(pouching / lanes / 0.995 + 10)
        self.metres = whole(slitting / 0.99 + LAMINATORS[laminator][0])
        self.entered = 0
        self.bonded = self.done = None


class Machine:
    def __init__(self, name, shift, able, setup, run, mean_setup=None, mtbf=None, repair=None, mean_repair=0.0):
        self.name, self.shift, self.able = name, shift, able
        self.setup, self.run, self.mean_setup = setup, run, mean_setup
        self.mtbf, self.repair, self.mean_repair = mtbf, repair, mean_repair
        self.busy = False
        self.on, self.planned, self.worked, self.down_since, self.since = None, 0.0, 0.0, None, None
        self.used = 0.0
        self.last = None
        self.to_failure = math.inf


class Station:
    def __init__(self, machines):
        self.machines, self.queue, self.joined = machines, [], 0


class Cell:
    def __init__(self, replication):
        self.rng = rng = random.Random(SEED * 1000 + replication)
        self.env = simpy.Environment()
        self.orders, self.number = [], 0

        def laminator(name):
            start, speed, ramp, mean, cv = LAMINATORS[name]
            return Machine(
                name,
                ONE_SHIFT,
                lambda o: PRODUCTS[o.product][2] == name,
                lambda m, o: lognormal(rng, mean, cv),
                lambda o: run_minutes(o.metres, speed, ramp),
            )

        def slit(order):
            lanes = PRODUCTS[order.product][1]
            # One set: doff 3 min, half a minute for each core.
            return run_minutes(order.metres, 120.0, 10.0) + 3.0 + 0.5 * lanes

        def first_setup(machine, order):
            if machine.last in (None, order.product):
                return 10.0
            return lognormal(rng, 60.0, 0.4)

        def first_mean(last, order):
            return 10.0 if last in (None, order.product) else 60.0

        def pouch(number):
            def minutes(order):
                pitch, cycles = PRODUCTS[order.product][0], PRODUCTS[order.product][6]
                return order.metres / pitch / cycles[number]

            return minutes

        everything = lambda order: True
        self.lamination = Station([laminator("thermal_laminator"), laminator("solventless_laminator")])
        self.slitting = Station(
            [Machine("slitter", ONE_SHIFT, everything, lambda m, o: rng.uniform(6, 14), slit)]
        )
        self.pouching = Station(
            [
                Machine(
                    "pouch_machine_1", TWO_SHIFTS, everything, first_setup, pouch(0), first_mean,
                    360.0, lambda: lognormal(rng, 40.0, 0.8), 40.0,
                ),
                Machine(
                    "pouch_machine_2", ONE_SHIFT, everything, lambda m, o: rng.uniform(20, 60), pouch(1),
                    lambda last, o: 40.0, 240.0, lambda: lognormal(rng, 25.0, 0.8), 25.0,
                ),
            ]
        )
        self.stations = [self.lamination, self.slitting, self.pouching]
        for machine in self.machines():
            if machine.mtbf:
                machine.to_failure = rng.expovariate(1 / machine.mtbf)
        self.env.process(self.arrivals())
        self.env.process(self.openings())
        self.env.process(self.closings())

    def machines(self):
        return [m for station in self.stations for m in station.machines]

    def arrivals(self):
        rng = self.rng
        while True:
            yield self.env.timeout(rng.expovariate(1 / 168.0))
            product = rng.choices(["small", "large", "food"], [40, 30, 30])[0]
            promise = rng.choices([10 * DAY, 4 * DAY], [70, 30])[0]
            quantity = max(1, round(lognormal(rng, 4000, 0.8)))
            order = Order(self.number, self.env.now, product, quantity, promise)
            self.number += 1
            self.orders.append(order)
            self.join(self.lamination, order)

    def openings(self):
        """Machines that open look for work, upstream first."""
        while True:
            yield self.env.timeout(ONE_SHIFT.next_opening(self.env.now) - self.env.now)
            for station in self.stations:
                self.dispatch(station)

    def closings(self):
        """A machine that closes is an event of its station: what waits for it is looked at again."""
        while True:
            now = self.env.now
            hours = [14 * 60.0, 22 * 60.0]
            times = [day * DAY + hour for day in range(int(now // DAY), int(now // DAY) + 2) for hour in hours]
            yield self.env.timeout(min(t for t in times if t > now) - now)
            self.dispatch(self.pouching)

    def join(self, station, order):
        order.entered = station.joined
        station.joined += 1
        station.queue.append(order)
        self.dispatch(station)

    def dispatch(self, station):
        """Free machines by name are offered the nearest due date, then who waits longest; each order goes to the
        machine that would finish it first by planned means over open hours, and waits where that one is busy."""
        again = True
        while again:
            again, left_out = False, False
            spoken_for, claims = {}, {m.name: 0.0 for m in station.machines}
            for machine in station.machines:
                if not self.is_free(machine):
                    continue
                order = self.find(station, machine, spoken_for, claims)
                if order is None:
                    left_out = True
                    continue
                again = True
                station.queue.remove(order)
                machine.planned, machine.worked = self.work_on(machine, order, False), 0.0
                machine.busy, machine.on = True, order
                self.env.process(self.work(station, machine, order))
            again = again and left_out

    def is_free(self, machine):
        return not machine.busy and machine.shift.open_until(self.env.now) is not None

    def find(self, station, machine, spoken_for, claims):
        while True:
            able = [o for o in station.queue if machine.able(o) and spoken_for.get(o, machine) is machine]
            if not able:
                return None
            order = min(able, key=lambda o: (o.due, o.entered))
            if machine.mean_setup is None or order in spoken_for:
                return order
            others = [m for m in station.machines if m.able(order)]
            quickest = min(others, key=lambda m: (self.finish(m, order, claims[m.name]), not self.is_free(m)))
            if quickest is machine:
                return order
            claims[quickest.name] += self.work_on(quickest, order, False)
            spoken_for[order] = quickest

    def work_on(self, machine, order, ahead):
        """Planned minutes of an order on a machine after what it is on."""
        if machine.mean_setup is None:
            return 0.0
        last = machine.on.product if machine.on and not ahead else machine.last
        return machine.mean_setup(last, order) + machine.run(order)

    def worked_at(self, machine):
        return machine.worked + (self.env.now - machine.since if machine.since is not None else 0.0)

    def finish(self, machine, order, claimed):
        rest = max(0.0, machine.planned - self.worked_at(machine)) if machine.busy else 0.0
        if machine.down_since is not None:
            rest += max(0.0, machine.mean_repair - (self.env.now - machine.down_since))
        return machine.shift.after(self.env.now, rest + claimed + self.work_on(machine, order, claimed > 0))

    def spend(self, machine, minutes, counts=True):
        """Minutes of work that stand still while the machine is closed."""
        while True:
            closes = machine.shift.open_until(self.env.now)
            if closes is None:
                opens = machine.shift.next_opening(self.env.now)
                yield self.env.timeout(opens - self.env.now)
                continue
            part = min(minutes, closes - self.env.now)
            begin = self.env.now
            machine.since = begin if counts else None
            yield self.env.timeout(part)
            machine.since = None
            machine.worked += part if counts else 0.0
            measured = min(begin + part, WARM_UP + MEASURE) - max(begin, WARM_UP)
            machine.used += max(0.0, measured)
            minutes -= part
            if minutes <= 0:
                return

    def work(self, station, machine, order):
        yield from self.spend(machine, machine.setup(machine, order))
        machine.last = order.product
        left = machine.run(order)
        while left > machine.to_failure:
            yield from self.spend(machine, machine.to_failure)
            left -= machine.to_failure
            machine.down_since = self.env.now
            self.dispatch(station)
            yield from self.spend(machine, machine.repair(), False)
            machine.down_since = None
            self.dispatch(station)
            machine.to_failure = self.rng.expovariate(1 / machine.mtbf)
        yield from self.spend(machine, left)
        machine.to_failure -= left
        machine.busy, machine.on = False, None
        self.env.process(self.hand_on(station, order))
        self.dispatch(station)

    def hand_on(self, station, order):
        pitch, lanes, laminator, slit, pouch, ship, _ = PRODUCTS[order.product]
        env = self.env
        if station is self.lamination:
            order.bonded = env.now
            order.metres = (order.metres - LAMINATORS[laminator][0]) * 0.99
            yield env.timeout(slit)
            self.join(self.slitting, order)
        elif station is self.slitting:
            order.metres = (order.metres - 10) * 0.995 * lanes
            yield env.timeout(max(0.0, order.bonded + pouch - env.now))
            self.join(self.pouching, order)
        else:
            yield env.timeout(max(0.0, order.bonded + ship - env.now))
            order.done = env.now

    def run(self):
        end = WARM_UP + MEASURE
        self.env.run(until=end + RUN_OUT)
        measured = [o for o in self.orders if WARM_UP <= o.released < end]
        leads = sorted(math.inf if o.done is None else o.done - o.released for o in measured)

        def point(p):
            place = (len(leads) - 1) * p
            low = int(place)
            return leads[low] + (place - low) * (leads[min(low + 1, len(leads) - 1)] - leads[low])

        in_time = sum(1 for o in measured if o.done is not None and o.done <= o.due)
        finished = sum(1 for o in self.orders if o.done is not None and WARM_UP <= o.done < end)
        figures = {
            "orders/all": finished / (MEASURE / WEEK),
            "on_time/all": in_time / len(measured),
            "lead_done/all/mean": sum(leads) / len(leads),
            "lead_done/all/p50": point(0.5),
            "lead_done/all/p90": point(0.9),
        }
        for product in PRODUCTS:
            own = [o.done - o.released for o in measured if o.product == product and o.done is not None]
            figures[f"lead_done/product:{product}/mean"] = sum(own) / len(own)
        for machine in self.machines():
            opened = machine.shift.open_minutes(WARM_UP, end)
            figures[f"machine/{machine.name}/utilisation"] = machine.used / opened
        return figures


def main():
    rows = [Cell(replication).run() for replication in range(REPLICATIONS)]
    figures = {}
    for key in rows[0]:
        values = [row[key] for row in rows]
        mean = math.fsum(values) / len(values)
        variance = math.fsum((v - mean) ** 2 for v in values) / (len(values) - 1)
        figures[key] = {"mean": float(f"{mean:.10g}"), "sd": float(f"{math.sqrt(variance):.8g}")}
    result = {
        "made_by": "tests/crosscheck/cell.py",
        "simpy": simpy.__version__,
        "seed": SEED,
        "replications": REPLICATIONS,
        "figures": figures,
    }
    text = json.dumps(result, indent=2) + "\n"
    if sys.argv[1:] == ["-"]:
        sys.stdout.write(text)
    else:
        from pathlib import Path

        Path(__file__).with_name("results.json").write_text(text, encoding="utf-8")


if __name__ == "__main__":
    main()
