"""Trials of the thick lens in constant memory, to be run by hand: how long, how much memory, how sure.

python tests/benchmarks/many_trials.py 1e9
"""

import resource
import sys
import time

from test_trials import INPUTS, lens_power

from lenscalc.uncertainty import run_trials

trials = int(float(sys.argv[1])) if len(sys.argv) > 1 else 100_000_000
start = time.perf_counter()


def watch(done, total):
    """Print every twentieth part, with the memory so far."""
    if done * 20 // total != (done - 80_000) * 20 // total:
        memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
        print(f"{done:>13,} of {total:,}  {time.perf_counter() - start:6.1f} s  {memory:.0f} MB", flush=True)


r = run_trials(lens_power, INPUTS, trials=trials, on_progress=watch)
print(r)
print("2s:", {name: f"{x:.1e}" for name, x in r.noise.items()}, f"bin at the ends {r.resolution:.1e}")
