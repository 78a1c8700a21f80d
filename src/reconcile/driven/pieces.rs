//! Pieces of a field that were left out, or done twice, which somebody can drive to.

use super::ground::FieldSquares;

/// How many squares to each side a piece has on its middle line, at the least: what is narrower
/// (3.5 m, 11 ft, with the usual squares) is a gap between two passes, not a place to go back to.
const REACH: usize = 3;

/// A piece: its squares and the one of them that is nearest to their middle.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct SquarePatch {
    pub squares: usize,
    pub middle: usize,
}

/// The pieces of the squares that are marked, the largest first.
pub(super) fn pieces(ground: &FieldSquares, marked: &[bool]) -> Vec<SquarePatch> {
    let [columns, rows] = ground.shape();
    let mut wide = worn(marked, columns, rows);
    let mut mine = vec![false; marked.len()];
    let mut found = Vec::new();
    for start in 0..wide.len() {
        if wide.get(start).copied() != Some(true) {
            continue;
        }
        let mut squares = Vec::new();
        let mut open = vec![start];
        clear(&mut wide, start);
        while let Some(square) = open.pop() {
            // What was worn off around it is its own again.
            for near in around(square, REACH, columns, rows) {
                if marked.get(near).copied() == Some(true)
                    && let Some(slot) = mine.get_mut(near).filter(|slot| !**slot)
                {
                    *slot = true;
                    squares.push(near);
                }
            }
            for next in around(square, 1, columns, rows) {
                if wide.get(next).copied() == Some(true) {
                    clear(&mut wide, next);
                    open.push(next);
                }
            }
        }
        found.push(piece(&squares, columns));
    }
    found.sort_by_key(|piece| (std::cmp::Reverse(piece.squares), piece.middle));
    found
}

fn clear(marks: &mut [bool], square: usize) {
    if let Some(slot) = marks.get_mut(square) {
        *slot = false;
    }
}

/// The marks that have nothing but marks within the reach.
fn worn(marked: &[bool], columns: usize, rows: usize) -> Vec<bool> {
    let line =
        |marks: &[bool], count: usize, length: usize, place: &dyn Fn(usize, usize) -> usize| {
            let mut kept = vec![false; marks.len()];
            for number in 0..count {
                let mut run = 0;
                for along in 0..length {
                    let here = marks.get(place(number, along)).copied().unwrap_or(false);
                    run = if here { run + 1 } else { 0 };
                    if run > 2 * REACH
                        && let Some(slot) = kept.get_mut(place(number, along - REACH))
                    {
                        *slot = true;
                    }
                }
            }
            kept
        };
    let along_rows = line(marked, rows, columns, &|row, column| row * columns + column);
    line(&along_rows, columns, rows, &|column, row| row * columns + column)
}

/// The squares of a block around one, itself with them.
fn around(square: usize, reach: usize, columns: usize, rows: usize) -> impl Iterator<Item = usize> {
    let (row, column) = (square / columns, square % columns);
    let span = move |at: usize, count: usize| at.saturating_sub(reach)..(at + reach + 1).min(count);
    span(row, rows)
        .flat_map(move |row| span(column, columns).map(move |column| row * columns + column))
}

fn piece(squares: &[usize], columns: usize) -> SquarePatch {
    let count = squares.len().max(1);
    let [column, row] = squares
        .iter()
        .fold([0, 0], |[column, row], square| [column + square % columns, row + square / columns]);
    let (column, row) = (column / count, row / count);
    let far = |square: &usize| {
        (square % columns).abs_diff(column).pow(2) + (square / columns).abs_diff(row).pow(2)
    };
    let middle = squares.iter().copied().min_by_key(|square| (far(square), *square)).unwrap_or(0);
    SquarePatch { squares: squares.len(), middle }
}

#[cfg(test)]
mod tests {
    use geo::{MultiPolygon, Rect};

    use super::*;

    /// A block of 10 by 12, one of 8 by 8, and a strip 6 wide, that is a gap.
    #[test]
    fn pieces_by_hand() {
        let field: MultiPolygon<f64> = Rect::new((0.0, 0.0), (20.0, 20.0)).to_polygon().into();
        let ground = FieldSquares::of(&[field]);
        let [columns, _] = ground.shape();
        let mut marked = vec![false; columns * columns];
        for (rows, across) in [(2..12, 2..14), (20..28, 25..33), (30..36, 0..20)] {
            for row in rows {
                for column in across.clone() {
                    marked[row * columns + column] = true;
                }
            }
        }
        let found = pieces(&ground, &marked);
        assert_eq!(found.iter().map(|piece| piece.squares).collect::<Vec<_>>(), [120, 64]);
        assert_eq!(found[0].middle, 6 * columns + 7);
    }
}
