"""Tables of what several plates ask for: chances of being late, orders of papers, short days, rows of plates.

Libraries: numpy 2.4.6, SciPy 1.17.1 (norm), networkx 3.6.1 (directed graphs), OR-Tools 9.15 (CP-SAT, an exact solver).
- lateness: the sum of many times is normal (any handbook of statistics); its tail by SciPy. Beside it the law itself, by no formula: the log-normal
  time of a piece by SciPy on a grid, folded with itself by numpy's FFT, and the normal pace added up over its quantiles;
- orders: whether a directed graph has one at all, and its shortest ring, by networkx;
- days: hands as one machine, drying as the least wait between a plate's operations, shortest makespan proven by CP-SAT, whole minutes;
- shared trays and nights: the same, where bites of one length may be one dip of at most so many plates (in at once, out at once, rinsed in turn
  by the one pair of hands), and where every piece of work ends within a day's minutes, varnish is not left overnight, and all plates are
  bitten to the same bite on the same day;
- joined dips, plates that leave, nights that varnish dries over: the same, where a plate that lacks a tone has its bites in one longer dip, one
  that lacks the darkest has fewer, and a stop-out may be painted on an earlier day than its bite, whose drying then has the night as well;
- rows: every order and half turn of six plates tried, the joints' mean difference of lightness without slip.
Cases are drawn with fixed seeds.
"""
import itertools
import math

import networkx
import numpy as np
from ortools.sat.python import cp_model
from scipy.stats import lognorm, norm

from csv_table import write

MADE = "made by scripts/families.py with numpy 2.4.6, SciPy 1.17.1, networkx 3.6.1, OR-Tools 9.15"
PACE, PIECE = 0.12, 0.35


def folded(pieces):
    """Chances that the sum of so many log-normal times of mean 1 is above each place of a grid."""
    count, most = 1 << 16, 8.0 * pieces + 8.0
    step = most / count
    sigma = math.sqrt(math.log1p(PIECE * PIECE))
    law = lognorm(sigma, scale=math.exp(-sigma * sigma / 2))
    masses = np.diff(law.cdf((np.arange(count + 1) - 0.5) * step))
    sums = np.fft.irfft(np.fft.rfft(masses, 2 * count) ** pieces, 2 * count)[:count]
    return np.arange(count) * step, 1.0 - np.cumsum(sums)


def lateness():
    paces = 1 + PACE * norm.ppf((np.arange(20000) + 0.5) / 20000)
    few = [(pieces, 480.0 / pieces * share, 480.0) for pieces in (1, 2, 3, 4, 6, 8, 11, 12, 15, 18, 21, 24) for share in (0.7, 0.9, 1.0, 1.2, 1.5)]
    for pieces, each, opened in [*itertools.product((1, 5, 22, 34, 80), (4.0, 9.0, 11.0, 14.0, 16.0), (120.0, 480.0, 900.0)), *few]:
        mean = pieces * each
        spread = math.hypot(PACE * mean, PIECE * each * math.sqrt(pieces))
        law = float(np.interp(opened / each / paces, *folded(pieces), right=0.0).mean())
        yield pieces, each, opened, mean, spread, float(norm.sf(opened, mean, spread)), law


def orders():
    chance = np.random.default_rng(5)
    for _ in range(60):
        count = int(chance.integers(2, 12))
        edges = sorted({(int(a), int(b)) for a, b in chance.integers(0, count, (int(chance.integers(1, 2 * count)), 2)) if a != b})
        graph = networkx.DiGraph(edges)
        ring = 0 if networkx.is_directed_acyclic_graph(graph) else min(len(cycle) for cycle in networkx.simple_cycles(graph))
        yield count, " ".join(f"{a}>{b}" for a, b in edges), ring


def shortest(plates):
    model = cp_model.CpModel()
    horizon = sum(sum(each) for rounds in plates for each in rounds)
    hands, ends = [], []
    for p, rounds in enumerate(plates):
        ready = 0
        for r, (paint, dry, bite, rinse) in enumerate(rounds):
            for name, length, wait in (("paint", paint, dry), ("bite", bite + rinse, 0)):
                begin = model.NewIntVar(0, horizon, f"{name} {p} {r}")
                hands.append(model.NewFixedSizeIntervalVar(begin, length, f"hands {name} {p} {r}"))
                model.Add(begin >= ready)
                ready = begin + length + wait
        ends.append(ready)
    model.AddNoOverlap(hands)
    whole = model.NewIntVar(0, horizon, "whole")
    model.AddMaxEquality(whole, ends)
    model.Minimize(whole)
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = 60
    solver.parameters.num_workers = 1
    status = solver.Solve(model)
    return int(solver.ObjectiveValue()) if status == cp_model.OPTIMAL else None


def days():
    chance = np.random.default_rng(9)
    cases = [[[(12, 25, 2, 5)] * rounds] * plates for plates, rounds in ((1, 9), (2, 3), (3, 3), (4, 2), (2, 9), (4, 9))]
    for _ in range(30):
        plates = int(chance.integers(2, 5))
        rounds = int(chance.integers(1, 4))
        cases.append([[tuple(int(chance.integers(*span)) for span in ((1, 30), (0, 60), (1, 10), (0, 6))) for _ in range(rounds)] for _ in range(plates)])
    for plates in cases:
        least = shortest(plates)
        if least is not None:
            yield "|".join(";".join(":".join(map(str, each)) for each in rounds) for rounds in plates), least


def shortest_in_tray(plates, most, minutes=None, levels=None, overnight=False):
    """Shortest day where at most `most` plates share a dip; with `minutes` of work a day: all days but the last count whole.

    `levels`: the bite of the ladder at which each round ends; none: the rounds are the bites. `overnight`: varnish may dry over a night.
    """
    levels = levels or [list(range(len(rounds))) for rounds in plates]
    model = cp_model.CpModel()
    total = sum(sum(each) for rounds in plates for each in rounds)
    span = minutes or 0
    days = 1 if minutes is None else 4
    horizon = total if minutes is None else days * span
    hands, ends, bites = [], [], []
    day_of = [model.NewIntVar(0, days - 1, f"day {r}") for r in range(1 + max(map(max, levels)))]
    for earlier, later in zip(day_of, day_of[1:]):
        model.Add(earlier <= later)

    def within(begin, end, day):
        if minutes is not None:
            model.Add(begin >= span * day)
            model.Add(end <= span * day + span)

    for p, rounds in enumerate(plates):
        ready = 0
        for r, (paint, dry, bite, rinse) in enumerate(rounds):
            begin = model.NewIntVar(0, horizon, f"paint {p} {r}")
            hands.append(model.NewFixedSizeIntervalVar(begin, paint, f"hands paint {p} {r}"))
            model.Add(begin >= ready)
            dip = model.NewIntVar(0, horizon, f"dip {p} {r}")
            bitten = day_of[levels[p][r]]
            painted = bitten
            if overnight:
                painted = model.NewIntVar(0, days - 1, f"painted {p} {r}")
                model.Add(painted <= bitten)
            # Minutes of work are laid end to end: a night between is more time to dry.
            model.Add(dip >= begin + paint + dry - (1440 - span) * (bitten - painted))
            model.Add(dip >= begin + paint)
            rinsing = model.NewIntVar(0, horizon, f"rinse {p} {r}")
            hands.append(model.NewFixedSizeIntervalVar(rinsing, rinse, f"hands rinse {p} {r}"))
            within(begin, begin + paint, painted)
            within(dip, rinsing + rinse, bitten)
            ready = rinsing + rinse
            bites.append((p, r, bite, rinse, dip, rinsing))
        ends.append(ready)
    # Each dip has one leader, whose time it is; a leader leads itself.
    leads = {}
    for i, one in enumerate(bites):
        for j, other in enumerate(bites):
            if i == j or one[0] != other[0] and one[2] == other[2]:
                leads[i, j] = model.NewBoolVar(f"{j} leads {i}")
    for i, (p, r, bite, rinse, dip, rinsing) in enumerate(bites):
        mine = [j for j in range(len(bites)) if (i, j) in leads]
        model.AddExactlyOne([leads[i, j] for j in mine])
        for j in mine:
            if i != j:
                model.AddImplication(leads[i, j], leads[j, j])
            model.Add(dip == bites[j][4]).OnlyEnforceIf(leads[i, j])
            group = sum(leads[k, j] * bites[k][3] for k in range(len(bites)) if (k, j) in leads)
            model.Add(rinsing + rinse <= dip + bite + group).OnlyEnforceIf(leads[i, j])
        model.Add(rinsing >= dip + bite)
        hands.append(model.NewOptionalFixedSizeIntervalVar(dip, bite, leads[i, i], f"hands bite {i}"))
        led = [k for k in range(len(bites)) if (k, i) in leads]
        model.Add(sum(leads[k, i] for k in led) <= most)
        for plate in range(len(plates)):
            model.Add(sum(leads[k, i] for k in led if bites[k][0] == plate) <= 1)
    model.AddNoOverlap(hands)
    whole = model.NewIntVar(0, horizon, "whole")
    model.AddMaxEquality(whole, ends)
    model.Minimize(whole)
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = 60
    solver.parameters.num_workers = 1
    status = solver.Solve(model)
    return int(solver.ObjectiveValue()) if status == cp_model.OPTIMAL else None


def trays():
    chance = np.random.default_rng(21)
    cases = [([[(12, 25, 2, 5)] * rounds] * plates, most, None) for plates, rounds, most in ((2, 2, 2), (3, 2, 2), (3, 2, 3), (4, 1, 4))]
    cases += [([[(12, 25, 2, 5)] * 3] * 2, 1, 120), ([[(10, 20, 3, 4)] * 3] * 2, 2, 100), ([[(10, 20, 3, 4)] * 4] * 2, 1, 95)]
    for _ in range(22):
        plates, rounds = int(chance.integers(2, 4)), int(chance.integers(1, 4))
        ladder = [int(v) for v in chance.integers(1, 10, rounds)]
        whole = [[(int(chance.integers(1, 30)), int(chance.integers(0, 60)), bite, int(chance.integers(0, 6))) for bite in ladder] for _ in range(plates)]
        most = int(chance.integers(1, plates + 1))
        longest = max(sum(sum(rounds[r]) for rounds in whole) for r in range(rounds))
        cases.append((whole, most, None if chance.random() < 0.5 else longest + int(chance.integers(0, 60))))
    for plates, most, minutes in cases:
        least = shortest_in_tray(plates, most, minutes)
        if least is not None:
            yield "|".join(";".join(":".join(map(str, each)) for each in rounds) for rounds in plates), most, minutes or 0, least


def joined():
    """The demo's way: a ladder of bites for all, of which a plate may lack some and leave early."""
    chance = np.random.default_rng(33)
    for case in range(26):
        count, bites = int(chance.integers(2, 4)), int(chance.integers(2, 5))
        ladder = [int(bite) for bite in np.sort(chance.integers(1, 6, bites))]
        dry = int(chance.integers(5, 40))
        plates, levels = [], []
        for _ in range(count):
            has = [bool(chance.integers(0, 4)) for _ in range(bites)]
            has[int(chance.integers(0, bites))] = True
            rounds, ends, begun = [], [], 0
            for bite in range(bites):
                if has[bite]:
                    rounds.append((int(chance.integers(3, 16)), dry, sum(ladder[begun:bite + 1]), 4))
                    ends.append(bite)
                    begun = bite + 1
            plates.append(rounds)
            levels.append(ends)
        overnight = case % 2 == 1
        # A day that has room for any one round of all plates, and for no more than some.
        minutes = None if case % 3 == 0 else max(sum(max(sum(r) for r in rounds) for rounds in plates) + 10, 60)
        least = shortest_in_tray(plates, 1 + case % 2, minutes, levels, overnight and minutes is not None)
        if least is not None:
            told = "|".join(";".join(f"{(ends[r - 1] + 1 if r else 0) + 1}-{ends[r] + 1}:{':'.join(map(str, each))}" for r, each in enumerate(rounds)) for rounds, ends in zip(plates, levels))
            yield told, 1 + case % 2, minutes or 0, int(overnight), least


def rows():
    chance = np.random.default_rng(14)
    for _ in range(6):
        # Six plates, left and right edge, five heights each.
        edges = chance.integers(20, 92, (6, 2, 5)).astype(float)
        sides = {(p, t): (edges[p, 1][::-1], edges[p, 0][::-1]) if t else (edges[p, 0], edges[p, 1]) for p in range(6) for t in (0, 1)}
        cost = {(a, b): float(np.abs(sides[a][1] - sides[b][0]).mean()) for a in sides for b in sides if a[0] != b[0]}
        sums, worst = [], []
        for order in itertools.permutations(range(6)):
            for turns in itertools.product((0, 1), repeat=6):
                joints = [cost[(order[i], turns[i]), (order[i + 1], turns[i + 1])] for i in range(5)]
                sums.append(sum(joints))
                worst.append(max(joints))
        upright = min(sum(cost[(o[i], 0), (o[i + 1], 0)] for i in range(5)) for o in itertools.permutations(range(6)))
        yield " ".join(str(int(v)) for v in edges.ravel()), min(sums), max(sums), min(worst), upright


write("lateness.csv", ["chance that pasted papers are late: pieces, mean seconds of one, seconds open; mean, spread and chance of the normal sum, chance by the law itself", MADE],
      ["pieces", "each_s", "open_s", "mean_s", "spread_s", "normal", "late"], lateness())
write("laying_orders.csv", ["what lies above what among so many pieces, and the pieces of the shortest ring; 0: there is an order", MADE],
      ["pieces", "above", "ring"], orders())
write("shared_days.csv", ["rounds of plates (paint:dry:bite:rinse, minutes) and the shortest day for one pair of hands, proven", MADE],
      ["plates", "shortest_min"], days())
write("shared_trays.csv", ["rounds of plates (paint:dry:bite:rinse, minutes), how many plates share a dip at most, minutes of a working day (0: no nights); the shortest of all days, proven", MADE],
      ["plates", "most", "day_min", "shortest_min"], trays())
write("joined_days.csv", ["rounds of plates that lack tones (first-last bite:paint:dry:bite:rinse, minutes), how many plates share a dip at most, minutes of a working day (0: no nights), whether varnish dries overnight (0, 1); the shortest of all days, proven", MADE],
      ["plates", "most", "day_min", "overnight", "shortest_min"], joined())
write("plate_rows.csv", ["lightness of six plates' left and right edges at five heights; least and greatest sum of joints, least worst joint, with half turns; least sum without", MADE],
      ["edges", "least", "greatest", "mildest", "upright"], rows())
