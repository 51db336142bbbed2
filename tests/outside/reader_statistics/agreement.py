"""Computes the statistics of readers with pingouin, scikit-learn and statsmodels, after docs/agreement.md.

    python agreement.py QUESTIONS.json ANSWERS.json

The question holds full tables of readings (targets by readers), pairs of lists of categories, tables of how many
readers named each category for each target, and parts of wholes; the answer holds one answer for each, in order.
"""

import json
import math
import sys

import numpy as np
import pandas as pd
import pingouin
from sklearn.metrics import cohen_kappa_score
from statsmodels.stats.inter_rater import cohens_kappa, fleiss_kappa
from statsmodels.stats.proportion import proportion_confint

# Otherwise intervals come rounded to two digits.
pingouin.options["round"] = None
pingouin.options["round.column.CI95"] = None

FORMS = ("ICC(1,1)", "ICC(A,1)", "ICC(C,1)", "ICC(1,k)", "ICC(A,k)", "ICC(C,k)")


def number(value):
    """A number as JSON knows it: nothing where it is infinite or none."""
    return float(value) if math.isfinite(value) else None


def intraclass(table):
    """The six intraclass correlations, each with its interval, F, degrees of freedom and probability."""
    readings = [
        (target, reader, value)
        for target, row in enumerate(table)
        for reader, value in enumerate(row)
    ]
    frame = pd.DataFrame(readings, columns=["target", "reader", "value"])
    found = pingouin.intraclass_corr(frame, targets="target", raters="reader", ratings="value")
    found = found.set_index("Type")
    answers = []
    for form in FORMS:
        row = found.loc[form]
        lower, upper = row["CI95"]
        numbers = (row["ICC"], lower, upper, row["F"], row["df1"], row["df2"], row["pval"])
        answers.append([number(value) for value in numbers])
    return answers


def standard_error(table, weighting):
    """The large-sample standard error of statsmodels, which knows weights of categories 0, 1, 2, …"""
    # Rounding may leave a variance just below 0 where readers always agree.
    return number(max(cohens_kappa(table, wt=weighting).var_kappa, 0.0) ** 0.5)


def two_readers(pair):
    """Kappa and its standard error: plain, linear, quadratic."""
    first, second, categories = pair["first"], pair["second"], pair["categories"]
    table = np.zeros((categories, categories))
    np.add.at(table, (first, second), 1)
    labels = list(range(categories))
    return [
        [
            number(cohen_kappa_score(first, second, labels=labels, weights=weighting)),
            standard_error(table, weighting),
        ]
        for weighting in (None, "linear", "quadratic")
    ]


def share(part_and_total):
    """Wilson's interval."""
    part, total = part_and_total
    return [number(end) for end in proportion_confint(part, total, alpha=0.05, method="wilson")]


def main():
    source, target = sys.argv[1:]
    with open(source, encoding="utf-8") as file:
        asked = json.load(file)
    answers = {
        "tables": [intraclass(table) for table in asked["tables"]],
        "pairs": [two_readers(pair) for pair in asked["pairs"]],
        "counts": [number(fleiss_kappa(counts)) for counts in asked["counts"]],
        "shares": [share(part_and_total) for part_and_total in asked["shares"]],
    }
    with open(target, "w", encoding="utf-8") as file:
        json.dump(answers, file)


if __name__ == "__main__":
    main()
