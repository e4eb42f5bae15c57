"""Writes the reference tables: comment lines that say where the figures come from, then plain CSV.

Needs only the Python standard library. Floats are written with the fewest digits that read back as the same number, unless
a table rounds them itself, so that equal inputs give equal bytes.
"""
from pathlib import Path

DATA = Path(__file__).resolve().parent.parent / "data"


def text(value):
    """One cell: shortest exact decimal for floats (inf as `inf`), plain text for the rest."""
    if isinstance(value, str):
        return value
    if isinstance(value, float):  # numpy's float64 is one too
        return repr(float(value))
    return str(int(value))


def write(name, about, columns, rows):
    """Writes DATA/name: each line of `about` after `# `, the column names, then the rows."""
    rows = list(rows)
    lines = [f"# {line}" for line in about] + [",".join(columns)]
    for row in rows:
        if len(row) != len(columns):
            raise ValueError(f"{name}: {len(row)} cells for {len(columns)} columns in {row}")
        lines.append(",".join(text(cell) for cell in row))
    path = DATA / name
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text("\n".join(lines) + "\n", encoding="utf-8", newline="\n")
    print(f"{name}: {len(rows)} rows")


class PrintedCheck:
    """Compares printed figures (strings) with computed ones: they must agree to the last printed digit."""

    def __init__(self, title):
        self.title, self.checked, self.wrong = title, 0, []

    def same(self, printed, computed, what):
        self.checked += 1
        if printed in ("inf", "-"):
            if printed == "inf" and computed != float("inf"):
                self.wrong.append(f"{what}: printed inf, computed {computed!r}")
            return
        decimals = len(printed.partition(".")[2])
        # Half a unit of the last digit; the small extra lets an exact tie round either way.
        if abs(float(printed) - float(computed)) > 0.5 * 10.0**-decimals + 1e-9 * 10.0**-decimals:
            self.wrong.append(f"{what}: printed {printed}, computed {float(computed):.12g}")

    def report(self):
        print(f"{self.title}: {self.checked} printed figures checked, {len(self.wrong)} differ")
        for line in self.wrong:
            print("  " + line)
        return self.wrong
