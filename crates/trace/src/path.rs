//! Dynamic programming: the best path through a table, and the best pair of paths.

use crate::strip::Grid;

/// What a bend costs, and how far a path may move from one row to the next.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Stiffness {
    /// Cost of a move by `n` columns between neighbouring rows is `bend_cost * n²`.
    pub(crate) bend_cost: f64,
    /// Greatest move between neighbouring rows, in columns.
    pub(crate) most_move: usize,
}

/// For each column, the best value within reach less the cost of the move, and where it came from.
///
/// Reads and writes with a stride, so that rows and columns of a square table use the same code.
fn reach_best(
    from: &[f64],
    to: &mut [f64],
    origin: &mut [u16],
    stride: usize,
    count: usize,
    stiffness: Stiffness,
) {
    for column in 0..count {
        let first = column.saturating_sub(stiffness.most_move);
        let last = (column + stiffness.most_move).min(count - 1);
        let (mut best, mut best_from) = (f64::NEG_INFINITY, column);
        for candidate in first..=last {
            let distance = candidate.abs_diff(column) as f64;
            let value = from[candidate * stride] - stiffness.bend_cost * distance * distance;
            if value > best {
                best = value;
                best_from = candidate;
            }
        }
        to[column * stride] = best;
        origin[column * stride] = u16::try_from(best_from).unwrap_or(u16::MAX);
    }
}

/// The path through every row of a score table, one column per row, with the greatest sum of scores
/// less bending costs; also that sum.
pub(crate) fn best_path(score: &Grid, stiffness: Stiffness) -> (Vec<usize>, f64) {
    let columns = score.columns;
    let mut best = score.row(0).to_vec();
    let mut reached = vec![0.0; columns];
    let mut origins = vec![0_u16; score.rows * columns];
    for row in 1..score.rows {
        let origin = &mut origins[row * columns..(row + 1) * columns];
        reach_best(&best, &mut reached, origin, 1, columns, stiffness);
        for (column, value) in best.iter_mut().enumerate() {
            *value = reached[column] + score.at(row, column);
        }
    }
    let (mut column, total) = greatest(&best);
    let mut path = vec![column; score.rows];
    for row in (1..score.rows).rev() {
        column = usize::from(origins[row * columns + column]);
        path[row - 1] = column;
    }
    (path, total)
}

/// The index and value of the greatest number; the first of equals.
fn greatest(values: &[f64]) -> (usize, f64) {
    let mut best = (0, f64::NEG_INFINITY);
    for (index, value) in values.iter().enumerate() {
        if *value > best.1 {
            best = (index, *value);
        }
    }
    best
}

/// The pair of paths `one < two` through `rows` rows of `columns` columns with the greatest sum of
/// `score(row, one, two)` less the bending costs of both; nothing when no pair is possible.
///
/// A score of negative infinity says that a pair is impossible. Both paths are chosen together, which
/// is what keeps one of them from running to a neighbour's edge: the pair would become too wide.
/// The move of the two paths is separable, so each row costs `columns² × most_move`, not its square.
pub(crate) fn best_pair(
    rows: usize,
    columns: usize,
    stiffness: Stiffness,
    score: impl Fn(usize, usize, usize) -> f64,
) -> Option<Vec<(usize, usize)>> {
    let cells = columns * columns;
    let scored = |row: usize, reached: &[f64]| -> Vec<f64> {
        let pair = |cell: usize| {
            if reached[cell] > f64::NEG_INFINITY {
                reached[cell] + score(row, cell / columns, cell % columns)
            } else {
                f64::NEG_INFINITY
            }
        };
        (0..cells).map(pair).collect()
    };
    let mut best = scored(0, &vec![0.0; cells]);
    let mut one_moved = vec![0.0; cells];
    let mut both_moved = vec![0.0; cells];
    let mut one_origins = vec![0_u16; rows * cells];
    let mut two_origins = vec![0_u16; rows * cells];
    for row in 1..rows {
        let one_origin = &mut one_origins[row * cells..(row + 1) * cells];
        let two_origin = &mut two_origins[row * cells..(row + 1) * cells];
        for two in 0..columns {
            reach_best(
                &best[two..],
                &mut one_moved[two..],
                &mut one_origin[two..],
                columns,
                columns,
                stiffness,
            );
        }
        for one in 0..columns {
            let line = one * columns..(one + 1) * columns;
            reach_best(
                &one_moved[line.clone()],
                &mut both_moved[line.clone()],
                &mut two_origin[line],
                1,
                columns,
                stiffness,
            );
        }
        best = scored(row, &both_moved);
    }
    let (cell, total) = greatest(&best);
    if total == f64::NEG_INFINITY {
        return None;
    }
    let (mut one, mut two) = (cell / columns, cell % columns);
    let mut pairs = vec![(one, two); rows];
    for row in (1..rows).rev() {
        two = usize::from(two_origins[row * cells + one * columns + two]);
        one = usize::from(one_origins[row * cells + one * columns + two]);
        pairs[row - 1] = (one, two);
    }
    Some(pairs)
}

#[cfg(test)]
mod tests {
    use super::*;

    const STIFFNESS: Stiffness = Stiffness {
        bend_cost: 0.1,
        most_move: 2,
    };

    #[test]
    fn a_path_follows_the_ridge_and_bridges_a_gap() {
        let mut score = Grid::filled(9, 12, 0.0);
        for row in 0..9 {
            if row != 4 {
                score.row_mut(row)[row + 1] = 1.0;
            }
        }
        let (path, _) = best_path(&score, STIFFNESS);
        assert_eq!(path, (1..10).collect::<Vec<_>>(), "one column a row");
    }

    #[test]
    fn the_pair_is_the_same_as_by_trying_every_pair() {
        let value = |row: usize, one: usize, two: usize| {
            if two <= one {
                return f64::NEG_INFINITY;
            }
            f64::from(u32::try_from((row * 7 + one * 5 + two * 3 + one * two) % 11).expect("small"))
                / 11.0
        };
        let (rows, columns) = (4, 5);
        let found = best_pair(rows, columns, STIFFNESS, value).expect("possible");
        let total = |pairs: &[(usize, usize)]| {
            let mut sum = 0.0;
            for (row, (one, two)) in pairs.iter().enumerate() {
                sum += value(row, *one, *two);
                if row > 0 {
                    let (one_move, two_move) = (
                        one.abs_diff(pairs[row - 1].0),
                        two.abs_diff(pairs[row - 1].1),
                    );
                    if one_move > 2 || two_move > 2 {
                        return f64::NEG_INFINITY;
                    }
                    sum -= 0.1 * ((one_move * one_move + two_move * two_move) as f64);
                }
            }
            sum
        };
        let cells = columns * columns;
        let mut best = f64::NEG_INFINITY;
        for code in 0..cells.pow(4) {
            let pairs: Vec<_> = (0..4_u32)
                .map(|row| code / cells.pow(row) % cells)
                .map(|cell| (cell / columns, cell % columns))
                .collect();
            best = best.max(total(&pairs));
        }
        assert!(
            (total(&found) - best).abs() < 1e-12,
            "{} against {best}",
            total(&found)
        );
    }

    #[test]
    fn an_impossible_pair_is_none() {
        let found = best_pair(3, 4, STIFFNESS, |_, _, _| f64::NEG_INFINITY);
        assert_eq!(found, None, "nothing is possible");
    }
}
