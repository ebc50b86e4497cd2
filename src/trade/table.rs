//! Printed tables: straight lines between their rows.
//!
//! Rows are whole numbers in rising order, so that a value between two rows is
//! exact in decimals. Outside the rows there is no value; what to say then is
//! the function's own matter. Start reading at [`between`].

use crate::number::{Checked, Real};

use super::declare::whole;

/// The value at `at`, on the straight line between the rows around it; `None`
/// outside the table.
pub(super) fn between<R: Real>(rows: &[(i64, i64)], at: R) -> Checked<Option<R>> {
    for (low, high) in rows.iter().zip(rows.iter().skip(1)) {
        if at >= whole(low.0) && at <= whole(high.0) {
            let line = ((whole(low.0), whole(low.1)), (whole(high.0), whole(high.1)));
            return on_line(line, at).map(Some);
        }
    }
    Ok(None)
}

/// The value at `at` on the straight line through two points.
pub(super) fn on_line<R: Real>(line: ((R, R), (R, R)), at: R) -> Checked<R> {
    let ((x0, y0), (x1, y1)) = line;
    let rise = y1.minus(y0)?.times(at.minus(x0)?)?;
    y0.plus(rise.over(x1.minus(x0)?)?)
}
