"""The demo's three test strips, in the form a strip file has: first line `seconds,lightness`, totals, paper first, no comments.

Source: invented for the demo (no bath was measured). Needs only the Python standard library.
"""
from csv_table import DATA

SECONDS = [0, 5, 10, 20, 40, 80, 160, 320, 480, 640]
STRIPS = {
    # rises to 320 s, the last two bands over-bitten
    "14-b": dict(zip(SECONDS, [89.0, 85.0, 81.0, 74.0, 66.0, 56.5, 47.0, 37.0, 40.5, 45.5])),
    # the same bath with two bands, 40 s and 80 s, that disagree
    "14-c": dict(zip(SECONDS, [89.0, 85.0, 81.0, 74.0, 63.0, 64.5, 47.0, 37.0, 40.5, 45.5])),
    # a rich black, rising throughout
    "15-a": dict(zip([0, 5, 10, 20, 40, 80, 160, 320, 640], [91.0, 86.0, 80.5, 72.0, 61.0, 48.5, 36.5, 27.0, 20.5])),
}


def rising(name):
    """Seconds and lightness up to the darkest reading."""
    pairs = sorted(STRIPS[name].items())
    darkest = min(range(len(pairs)), key=lambda i: pairs[i][1])
    return [t for t, _ in pairs[: darkest + 1]], [y for _, y in pairs[: darkest + 1]]


def main():
    for name, readings in STRIPS.items():
        lines = ["seconds,lightness"] + [f"{t},{y}" for t, y in sorted(readings.items())]
        path = DATA / "strips" / f"strip-{name}.csv"
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text("\n".join(lines) + "\n", encoding="utf-8", newline="\n")
        print(f"strips/{path.name}: {len(readings)} rows")


if __name__ == "__main__":
    main()
