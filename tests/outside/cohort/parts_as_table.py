"""Reads the Parquet parts of `plumbray measure` as one table by DuckDB, and holds it against the CSV.

Asked are the folder of the parts and the CSV; answered how many lines either has, and how many of one are not in the
other. Both are compared as sets of lines with counts, since parts have no order; numbers by their value.
"""

import json
import sys
from pathlib import Path

import duckdb

NUMBERS = ("value", "sd", "interval_low", "interval_high")
TEXTS = ("study", "identifier", "unit", "convention", "in_use", "status", "calibration", "reason")


def columns() -> str:
    numbers = [f"CAST({name} AS DOUBLE) AS {name}" for name in NUMBERS]
    texts = [f"NULLIF({name}, '') AS {name}" for name in TEXTS]
    return ", ".join(texts + numbers)


def main(question: Path, answer: Path) -> None:
    asked = json.loads(question.read_text())
    database = duckdb.connect()
    parts = f"read_parquet('{asked['parts']}/part-*.parquet')"
    table = f"read_csv('{asked['csv']}', header = true, all_varchar = true)"
    database.execute(f"CREATE VIEW parts AS SELECT {columns()} FROM {parts}")
    database.execute(f"CREATE VIEW written AS SELECT {columns()} FROM {table}")

    def count(query: str) -> int:
        return database.execute(f"SELECT COUNT(*) FROM ({query})").fetchone()[0]

    answer.write_text(
        json.dumps(
            {
                "lines_of_parts": count("FROM parts"),
                "lines_of_csv": count("FROM written"),
                "only_in_parts": count("FROM parts EXCEPT ALL FROM written"),
                "only_in_csv": count("FROM written EXCEPT ALL FROM parts"),
                "types": dict(
                    database.execute(
                        f"SELECT column_name, column_type FROM (DESCRIBE SELECT * FROM {parts})"
                    ).fetchall()
                ),
            }
        )
    )


if __name__ == "__main__":
    main(Path(sys.argv[1]), Path(sys.argv[2]))
