#!/usr/bin/env python3
"""Runs the line workloads here and in general simulation libraries, in turns, and prints what each reaches.

Needs cargo, and for the libraries of Python the Python that runs this:

    python3 -m venv env && env/bin/pip install -r tests/benches/peers/requirements.txt
    env/bin/python tests/benches/compare.py                       # all of them, seven rounds
    env/bin/python tests/benches/compare.py --work B --peers odem,SimPy --rounds 15 --json b.json
    env/bin/python tests/benches/compare.py --threads             # two threads against one, and a control pair

A library that is not there is named and left out. One thread each. A round runs every program once, so that a busy
moment of the machine meets all of them; rates are medians over the rounds, ratios medians of the ratios within a
round. Only the ratios carry over to another machine. A mean time in system that is not the line's is marked.
"""
import argparse
import importlib.metadata
import json
import os
import platform
import statistics
import subprocess
import sys
import time
import tomllib

HERE = os.path.dirname(os.path.abspath(__file__))
ROOT = os.path.dirname(os.path.dirname(HERE))
RUST = os.path.join(HERE, "peers", "rust")
OURS = "pouchcast"
# What it is, our scenario, mean time in system, standard error of the mean of n orders times the root of n. A's are
# closed forms (1 / (1 - 0.9); the asymptotic variance of the time in an M/M/1); B's and B+'s come from long runs of
# three programs, their errors from 200 runs of one.
WORK = {
    "A": ("M/M/1", "a.yaml", 10.0, 190.0),
    "B": ("four stations", "b.yaml", 13.9, 87.0),
    "B+": ("four stations, every mechanism", "b-plus.yaml", 7.08, 13.0),
}
# Name: package of Python or of Rust, then by workload the program and how many orders take it about half a second.
PEERS = {
    "SimPy": ("simpy", "python", {"A": ("simpy_a", 60_000), "B": ("simpy_b", 20_000), "B+": ("simpy_full", 20_000)}),
    "Ciw": ("ciw", "python", {"A": ("ciw_a", 40_000), "B": ("ciw_b", 12_000)}),
    "salabim": ("salabim", "python", {"A": ("salabim_a", 100_000), "B": ("salabim_b", 40_000)}),
    "nexosim": ("nexosim", "rust", {"A": ("nexosim a", 1_000_000), "B": ("nexosim b", 400_000)}),
    "simu-des": ("simu-des", "rust", {"A": ("simu a", 1_200_000), "B": ("simu b", 600_000)}),
    "odem-rs": ("odem-rs", "rust", {"A": ("odem a", 5_000_000), "B": ("odem b", 1_000_000), "B+": ("odem full", 600_000)}),
}


def built(arguments, name):
    """Builds a program with cargo and gives its path; `None` where that fails."""
    done = subprocess.run(["cargo", *arguments, "--message-format=json"], cwd=ROOT, stdout=subprocess.PIPE, text=True)
    for text in done.stdout.splitlines():
        if not text.startswith("{"):
            continue
        message = json.loads(text)
        if message.get("executable") and message["target"]["name"] == name:
            return message["executable"]
    return None


def last_line(command):
    """What a program says in its last line, which is JSON."""
    out = subprocess.run(command, cwd=ROOT, check=True, stdout=subprocess.PIPE, text=True)
    return json.loads(out.stdout.splitlines()[-1])


def loop():
    """A bare loop: when it slows down between rounds, the machine is busy with something else."""
    start, x = time.perf_counter(), 0
    for i in range(2_000_000):
        x ^= i
    return time.perf_counter() - start


def machine():
    """What the figures were measured on."""
    model = platform.processor() or platform.machine()
    try:
        with open("/proc/cpuinfo", encoding="utf-8") as told:
            model = next((line.split(":", 1)[1].strip() for line in told if line.startswith("model name")), model)
    except OSError:
        pass
    rustc = subprocess.run(["rustc", "-V"], cwd=ROOT, stdout=subprocess.PIPE, text=True).stdout.split()
    return {
        "processor": model,
        "cores": os.cpu_count(),
        "system": platform.platform(),
        "python": platform.python_version(),
        "rustc": rustc[1] if len(rustc) > 1 else "?",
    }


def there(names):
    """Versions and start of the command of each peer that can be run; what is missing is said."""
    found, rust = {}, None
    with open(os.path.join(RUST, "Cargo.lock"), "rb") as file:
        locked = {package["name"]: package["version"] for package in tomllib.load(file)["package"]}
    if any(PEERS[name][1] == "rust" for name in names):
        rust = built(["build", "--release", "--locked", "--manifest-path", os.path.join(RUST, "Cargo.toml"),
                      "--target-dir", os.path.join(ROOT, "target", "peers")], "peers")
    for name in names:
        package, language, _ = PEERS[name]
        if language == "rust":
            if rust is None:
                print(f"{name} is left out: its program could not be built (see above)")
            else:
                found[name] = (locked[package], [rust])
            continue
        try:
            found[name] = (importlib.metadata.version(package), [sys.executable])
        except importlib.metadata.PackageNotFoundError:
            print(f"{name} is left out: this Python has no package {package} "
                  "(pip install -r tests/benches/peers/requirements.txt)")
    return found


def start(name, found, work, seed):
    """The command of a peer for a workload."""
    program, orders = PEERS[name][2][work]
    before = list(found[name][1])
    if PEERS[name][1] == "python":
        before.append(os.path.join(HERE, "peers", program + ".py"))
    else:
        before.extend(program.split())
    return before + [str(orders), str(seed)]


def beside(asked):
    """The line workloads, here and in the libraries."""
    works = chosen(asked.work, WORK, "workload")
    names = chosen(asked.peers, PEERS, "peer")
    line = built(["bench", "--bench", "line", "--no-run"], "line")
    if line is None:
        sys.exit("our own measuring program could not be built")
    found = there(names)
    runs = {work: {name: [] for name in [OURS, *found] if name == OURS or work in PEERS[name][2]} for work in works}
    nanos = {work: [] for work in works}
    bare = []
    for round_ in range(1, asked.rounds + 1):
        bare.append(loop())
        for work in works:
            for name, seen in runs[work].items():
                if name == OURS:
                    told = last_line([line, asked.seconds, f"tests/benches/{WORK[work][1]}"])
                    nanos[work].append(told["ns_per_event"])
                    seen.append((told["per_s"], told["mean"], told["n"]))
                else:
                    told = last_line(start(name, found, work, round_))
                    seen.append((told["n"] / told["secs"], told["mean"], told["n"]))
        print(f"round {round_} of {asked.rounds}", file=sys.stderr)
    result = {"machine": machine(), "rounds": asked.rounds, "bare_loop_s": [min(bare), max(bare)],
              "versions": {name: found[name][0] for name in found}, "workloads": {}}
    about = result["machine"]
    print(f"{about['processor']}, {about['cores']} cores, {about['system']}, rustc {about['rustc']}, "
          f"Python {about['python']}; {asked.rounds} rounds, bare loop {min(bare):.3f} to {max(bare):.3f} s")
    for work in works:
        result["workloads"][work] = table(work, runs[work], nanos[work], found)
    return result


def table(work, runs, nanos, found):
    """Prints one workload; gives the same as plain data."""
    title, _, expected, spread = WORK[work]
    print(f"\n{work}: {title}; mean time in system about {expected}")
    print(f"{'':18} {'orders/s':>11} {'least':>11} {'most':>11} {'x SimPy':>8} {'ours is':>8}   mean")
    rows = {}
    for name, seen in runs.items():
        rates = [rate for rate, *_ in seen]
        orders = sum(n for *_, n in seen)
        mean = sum(mean * n for _, mean, n in seen) / orders
        # Luck, and a hundredth for the start and what B+ leaves open.
        within = 4 * spread / orders**0.5 + expected / 100
        row = {"per_s": statistics.median(rates), "least": min(rates), "most": max(rates), "mean": mean,
               "is_the_line": abs(mean - expected) <= within,
               "times_simpy": ratio(rates, runs.get("SimPy")), "ours_times": ratio([rate for rate, *_ in runs[OURS]], seen)}
        rows[name] = row
        shown = f"{name} {found[name][0]}" if name in found else name
        times = "" if row["times_simpy"] is None else f"{row['times_simpy']:.1f}"
        ours = "" if name == OURS else f"{row['ours_times']:.2f}x"
        wrong = "" if row["is_the_line"] else "  <- NOT this line"
        print(f"{shown:18} {row['per_s']:11,.0f} {row['least']:11,.0f} {row['most']:11,.0f} {times:>8} {ours:>8}   "
              f"{mean:.2f}{wrong}")
    rows[OURS]["ns_per_event"] = statistics.median(nanos)
    print(f"{OURS}: {rows[OURS]['ns_per_event']:.1f} ns an event")
    return rows


def ratio(rates, others):
    """Median over the rounds of the ratio within a round."""
    if not others:
        return None
    return statistics.median(rate / other for rate, (other, *_) in zip(rates, others))


def chosen(text, known, what):
    """Names out of a list with commas, in the order they are known in."""
    if text is None:
        return list(known)
    asked = [name.strip().lower() for name in text.split(",")]
    names = [name for name in known if any(name.lower() == one or name.lower().split("-")[0] == one for one in asked)]
    if len(names) < len(asked):
        sys.exit(f"no such {what}: {text}; there is {', '.join(known)}")
    return names


def timed(*commands):
    """Seconds until all of these, started together, are done."""
    begin = time.perf_counter()
    started = [subprocess.Popen(command, cwd=ROOT, stdout=subprocess.DEVNULL) for command in commands]
    for one in started:
        if one.wait() != 0:
            sys.exit(f"{one.args} ended with {one.returncode}")
    return time.perf_counter() - begin


def threads(asked):
    """Two threads against one, beside two independent processes of one thread each."""
    program = asked.program or built(["build", "--release", "--bin", "pouchcast"], "pouchcast")
    if program is None:
        sys.exit("pouchcast could not be built")
    cell = "scenarios/owner.yaml"
    jobs = {
        "run": ["run", cell, "--replications", str(60 * asked.size)],
        "compare": ["compare", cell, "--replications", str(5 * asked.size), "--no-limit"],
        "compare with limit": ["compare", cell, "--replications", str(5 * asked.size)],
        "sweep": ["sweep", cell, "--set", "demand=0.8,1.0,1.2", "--replications", str(20 * asked.size)],
    }
    result = {"machine": machine(), "rounds": asked.rounds, "jobs": {}}
    about = result["machine"]
    print(f"{about['processor']}, {about['cores']} cores, {about['system']}; {asked.rounds} rounds; "
          "medians of the ratios within a round")
    print(f"{'':20} {'one s':>7} {'two s':>7} {'two threads':>12} {'control pair':>13} {'of the pair':>12}")
    for name, job in jobs.items():
        seen = []
        for _ in range(asked.rounds):
            command = [program, *job, "--no-files", "--quiet", "--threads"]
            one = timed([*command, "1"])
            two = timed([*command, "2"])
            pair = timed([*command, "1"], [*command, "1"])
            # One thread once more, so that the moments before and after count alike.
            one = (one + timed([*command, "1"])) / 2
            seen.append((one, two, one / two, 2 * one / pair, pair / two / 2))
        one, two, scaling, control, part = (statistics.median(column) for column in zip(*seen))
        result["jobs"][name] = {"one_s": one, "two_s": two, "two_threads": scaling, "control_pair": control}
        print(f"{name:20} {one:7.2f} {two:7.2f} {scaling:11.2f}x {control:12.2f}x {part:12.0%}")
    print("two threads: how many times as fast as one. control pair: how many times as much two processes of one "
          "thread do\nthat know nothing of each other, at the same moments: what the host gives. of the pair: the "
          "first by the second.")
    return result


def main():
    ask = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    ask.add_argument("--rounds", type=int, help="default 7; with --threads 5")
    ask.add_argument("--seconds", default="0.7", help="of each of our runs (default 0.7)")
    ask.add_argument("--work", help="of A, B, B+, with commas (default: all)")
    ask.add_argument("--peers", help=f"of {', '.join(PEERS)}, with commas (default: all)")
    ask.add_argument("--threads", action="store_true", help="measure threads instead")
    ask.add_argument("--size", type=int, default=1, help="with --threads: how many times as long (default 1)")
    ask.add_argument("--program", help="with --threads: a pouchcast that is built already")
    ask.add_argument("--json", help="write the figures to this file, too")
    asked = ask.parse_args()
    if asked.rounds is None:
        asked.rounds = 5 if asked.threads else 7
    if asked.rounds < 1 or asked.size < 1:
        ask.error("at least one")
    result = threads(asked) if asked.threads else beside(asked)
    if asked.json:
        with open(asked.json, "w", encoding="utf-8") as file:
            json.dump(result, file, indent=1)
            file.write("\n")


if __name__ == "__main__":
    main()
