#!/usr/bin/env python3
"""Runs the line workloads here and in SimPy, in turns, and prints what each reaches and the ratios.

Needs: `pip install simpy==4.1.2` for the Python that runs this, and cargo. Everything runs on one thread.
A round runs every program once, so that a busy moment of the machine meets all of them; medians over the
rounds are printed. Only the ratios carry over to another machine.

    python3 tests/benches/compare.py [--rounds 5]
"""
import argparse
import json
import os
import platform
import statistics
import subprocess
import sys
import time

HERE = os.path.dirname(os.path.abspath(__file__))
ROOT = os.path.dirname(os.path.dirname(HERE))
# Name, our scenario, SimPy program, its number of orders, mean time in system it must come near to.
WORK = [
    ("A   M/M/1", "a.yaml", "simpy_a.py", 60_000, 10.0),
    ("B   four stations", "b.yaml", "simpy_b.py", 20_000, 13.9),
    ("B+  every mechanism", "b-plus.yaml", "simpy_full.py", 20_000, 7.05),
]


def ours():
    """Builds the measuring program and gives its path."""
    built = subprocess.run(
        ["cargo", "bench", "--bench", "line", "--no-run", "--message-format=json"],
        cwd=ROOT, check=True, stdout=subprocess.PIPE, text=True)
    for line in built.stdout.splitlines():
        message = json.loads(line)
        if message.get("executable") and message["target"]["name"] == "line":
            return message["executable"]
    sys.exit("cargo built no program called line")


def last_line(command):
    out = subprocess.run(command, cwd=ROOT, check=True, stdout=subprocess.PIPE, text=True)
    return json.loads(out.stdout.splitlines()[-1])


def loop():
    """A bare loop: when it slows down between rounds, the machine is busy with something else."""
    start, x = time.perf_counter(), 0
    for i in range(2_000_000):
        x ^= i
    return time.perf_counter() - start


def main():
    ask = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    ask.add_argument("--rounds", type=int, default=5)
    ask.add_argument("--seconds", default="1", help="of each of our runs")
    asked = ask.parse_args()
    line = ours()
    seen = {name: ([], [], [], []) for name, *_ in WORK}
    bare = []
    for round_ in range(1, asked.rounds + 1):
        bare.append(loop())
        for name, scenario, peer, orders, _ in WORK:
            mine = last_line([line, asked.seconds, f"tests/benches/{scenario}"])
            theirs = last_line([sys.executable, f"{HERE}/peers/{peer}", str(orders), str(round_)])
            rates, peers, nanos, means = seen[name]
            rates.append(mine["per_s"])
            peers.append(theirs["n"] / theirs["secs"])
            nanos.append(mine["ns_per_event"])
            means.append((mine["mean"], theirs["mean"]))
    print(f"{platform.platform()}, Python {platform.python_version()}, {asked.rounds} rounds, "
          f"bare loop {min(bare):.3f} to {max(bare):.3f} s")
    print(f"{'':20} {'ours /s':>11} {'SimPy /s':>9} {'ratio':>6} {'ns/event':>9}   mean time in system: ours, SimPy, expected")
    for name, *_, expected in WORK:
        rates, peers, nanos, means = seen[name]
        rate, peer = statistics.median(rates), statistics.median(peers)
        us, them = (statistics.mean(column) for column in zip(*means))
        print(f"{name:20} {rate:11,.0f} {peer:9,.0f} {rate / peer:6.1f} {statistics.median(nanos):9.1f}   "
              f"{us:.2f}, {them:.2f}, {expected}")


if __name__ == "__main__":
    main()
