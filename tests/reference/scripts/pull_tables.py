"""A record of pulls and its table as Python's own csv module writes it (RFC 4180: the dialect "excel").

Writes data/pulls.json, the record in the project file's own fields, and data/pulls.csv, the table that must come out byte for byte: pulls of every
kind, with commas, quotes, line breaks, umlauts and nothing at all in their texts, in an order of chance that is always the same. Words that begin with
= + - @ (of any width), a tab, a line end or an apostrophe have one apostrophe before them, so that no spreadsheet works them out.
Only the Python standard library.
"""
import csv
import io
import json
import random

from csv_table import DATA

HEAD = ["pull", "day", "kind", "edition_number", "edition_of", "label", "plates", "turned", "inks", "papers", "sheet", "damping", "wiping", "pressure", "words", "struck_out", "corrections"]
PARTS = ["rag", "Büttenpapier", "300 g", ",", ", ", '"', '""', "a quote \"", "\n", "\r\n", ";", "Лён", "= 1 + 1", "-dry", "@", "'", " ", "…", "one line\nand another"]
EDITION = 12


def label(kind, copy, struck):
    words = {"proof": "proof", "unique": "unique, 1/1"}.get(kind) or (f"edition {copy}/{EDITION}" if copy else "edition, no number yet")
    return words + (", struck out" if struck else "")


def words(text):
    return f"'{text}" if text.startswith(("=", "+", "-", "@", "'", "\t", "\r", "\n", "＝", "＋", "－", "＠")) else text


def main():
    chance = random.Random(20260314)

    def text(most=4):
        return "".join(chance.choice(PARTS) for _ in range(chance.randint(0, most)))

    pulls, rows = [], []
    for number in range(1, 121):
        kind = chance.choice(["proof", "edition", "unique"])
        copy = chance.choice([None, chance.randint(1, EDITION + 2)]) if kind == "edition" else None
        plates = [{"letter": chance.choice("ABCD"), "turned": chance.random() < 0.4, "ink": text(2)} for _ in range(chance.randint(0, 4))]
        now = {
            "day": f"2026-{chance.randint(1, 12):02}-{chance.randint(1, 28):02}", "kind": kind, "copy": copy, "plates": plates,
            "papers": [text(2) for _ in range(chance.randint(0, 3))], "sheet": text(), "damping": text(), "wiping": text(), "pressure": text(),
            "words": text(9), "photo": None, "struck": chance.random() < 0.1,
        }
        pulls.append({"number": number, "now": now, "corrections": []})
        rows.append([
            number, now["day"], kind, "" if copy is None else copy, EDITION if kind == "edition" else "", label(kind, copy, now["struck"]),
            words("; ".join(plate["letter"] for plate in plates)), "; ".join("180" if plate["turned"] else "0" for plate in plates), words("; ".join(plate["ink"] for plate in plates)),
            words("; ".join(now["papers"])), *(words(now[name]) for name in ("sheet", "damping", "wiping", "pressure", "words")), "yes" if now["struck"] else "no", "",
        ])
    record = {"planned": 120, "edition": EDITION, "lifetime": None, "pulls": pulls, "photos": [], "touches": []}
    made = io.StringIO(newline="")
    csv.writer(made).writerows([HEAD, *rows])
    # What it wrote it reads back alike.
    assert [[str(cell) for cell in row] for row in [HEAD, *rows]] == list(csv.reader(io.StringIO(made.getvalue(), newline="")))
    (DATA / "pulls.csv").write_bytes(made.getvalue().encode())
    (DATA / "pulls.json").write_text(json.dumps(record, ensure_ascii=False) + "\n", encoding="utf-8")
    print(f"pulls.csv: {len(rows)} rows")


if __name__ == "__main__":
    main()
