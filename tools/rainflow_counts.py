"""Counts of made-up records by a general rainflow package, stored for `published_cell.rs`.

pip install rainflow==3.2.0
python tools/rainflow_counts.py > tests/published/cell_rainflow_records.toml
"""

from __future__ import annotations

import random

import rainflow


def main() -> None:
    """Prints the file: forty records of whole numbers, and the count of each range found."""
    random.seed(1049)
    print('id = "cell-rainflow-records"\nroom = "cell"\nquestion = "rainflow"')
    print(
        'source = "a general rainflow counting package"\nedition = "3.2.0"\nplace = "made by tools/rainflow_counts.py"'
    )
    print('confidence = "published"\nnote = "forty records of 3 to 60 whole numbers, drawn once"')
    print('tolerance = 0.0\ntolerance_reason = "counts are exact"')
    for _ in range(40):
        record = [random.randint(-9, 9) for _ in range(random.randint(3, 60))]
        text = ", ".join(map(str, record))
        for span, count in rainflow.count_cycles(record):
            print(f'\n[[case]]\ninputs = {{ record = "{text}", range = "{span}" }}\nexpected = {float(count)}')


if __name__ == "__main__":
    main()
