//! What is counted twice, once too often, or for surer than it is, across lines.
//!
//! Start reading at [`look`].

use crate::number::Number;
use crate::sheet::appraisal::Appraisal;
use crate::sheet::names::{CellId, ColumnId};
use crate::sheet::typed::{Node, Typed};
use crate::trade::Built;
use crate::trade::fuels::NET_OF_GROSS;
use crate::trade::habits::{
    BASIS_OF_SHARE, ERROR_OF_MEAN, FENCE_POSTS, HEAT_OF_BURNING, HOURS_OF_DAY, LEFT_OUT_BY_VALUE, ONE_SOURCE,
    OTHER_BASIS, OTHER_FUEL, OTHER_THAN_TABLE, PART_OF_DIFFERENCE, ROW_AND_SUM, SAME_IN_ROWS, SURER_THAN_SCATTER,
    TARE_ONCE, TWO_FOR_FEW,
};
use crate::unit::Kind;

use super::all_cells;
use super::ground::{
    Ground, above, bare, call, cell_of, constant, factors, has_word, is_all_day, is_daily, is_heating_value, is_hourly,
    is_of, is_rate, parts, plain, terms,
};
use super::legs::made_of;
use super::slip::Slip;
use super::slips::Slips;

/// Looks through every formula, then at tables and at fuels.
pub(super) fn look(slips: &mut Slips<'_>) {
    let ground = slips.ground;
    for (cell, formula) in ground.works() {
        same_amount_twice(slips, cell, formula);
        row_and_sum(slips, cell, formula);
        taken_off_again(slips, cell, formula);
        error_of_mean(slips, cell, formula);
        hours_of_day(slips, cell, formula);
        fence_posts(slips, cell, formula);
        tare_once(slips, cell, formula);
        two_for_few(slips, cell, formula);
        part_of_difference(slips, cell, formula);
        same_source(slips, cell, formula);
        left_out_by_value(slips, cell, formula);
        row_again(slips, cell, formula);
        heat_of_burning(slips, cell, formula);
        same_in_all_rows(slips, cell, formula);
    }
    copied(slips);
    part_of_typed_difference(slips);
    other_fuel(slips);
    few_without_freedom(slips);
    surer_than_its_readings(slips);
    two_bases(slips);
}

/// The inputs that a formula is the difference of.
fn difference_of(ground: &Ground<'_>, formula: &Typed) -> Option<(CellId, CellId)> {
    let [(true, over), (false, under)] = terms(formula)[..] else {
        return None;
    };
    let sides = cell_of(over).zip(cell_of(under));
    sides.filter(|(over, under)| ground.is_input(*over) && ground.is_input(*under))
}

/// A sum with the same amount in it twice, once by another name.
fn same_amount_twice(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let ground = slips.ground;
    let money = |kind: Kind| matches!(kind, Kind::Quantity(of) if of.is_money());
    let up = terms(formula).into_iter().filter(|(up, term)| *up && money(term.kind));
    let up: Vec<CellId> = up.filter_map(|(_, term)| cell_of(term)).collect();
    let value = |cell: CellId| super::number(ground.sheet, cell).map(Number::to_f64);
    let again = up.iter().find_map(|one| {
        let rests = |other: &&CellId| *other != one && ground.rests_on(**other, *one);
        let (first, second) = (value(*one)?, value(*up.iter().find(rests)?)?);
        ((first / second - 1.0).abs() < 0.02).then_some((*one, second))
    });
    if let Some((one, amount)) = again {
        slips.add(cell, Slip::Twice(one, cell), ground.changed(cell, |now| now - amount));
    }
    // what one of them says that it has in it
    let together = [
        "all together",
        "everything",
        "included",
        "including",
        "in it",
        "counted in",
    ];
    let named = up.iter().find_map(|all| {
        let said = |other: &&CellId| {
            let name = ground.sheet.name_of(**other).map(|name| plain(&name.replace('_', " ")));
            *other != all && name.is_some_and(|name| name.trim().len() > 2 && ground.says(*all, &[name.trim()]))
        };
        let inside = up
            .iter()
            .find(said)
            .filter(|_| ground.is_input(*all) && ground.says(*all, &together))?;
        Some((*inside, value(*inside)?))
    });
    if let Some((inside, amount)) = named {
        slips.add(
            cell,
            Slip::Twice(inside, cell),
            ground.changed(cell, |now| now - amount),
        );
    }
}

/// What is burned in an hour times whole days, where a line tells so many hours in a day.
fn hours_of_day(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let ground = slips.ground;
    let in_days = |cell: &CellId| {
        let kind = ground.shape(*cell).map(|shape| shape.kind);
        matches!(kind, Some(Kind::Quantity(of)) if of.to_string() == "d")
    };
    let hourly = |part: &CellId| ground.shape(*part).is_some_and(|shape| is_hourly(shape.kind));
    let day = factors(formula)
        .into_iter()
        .any(|(above, part)| above && is_daily(part.kind) && is_all_day(part));
    if !above(formula).any(|part| hourly(&part)) || !(day || above(formula).any(|part| in_days(&part))) {
        return;
    }
    let daily = |hours: &CellId| {
        let few = ground.value(*hours, "h/d").is_some_and(|hours| hours < 23.0);
        let counts = ground.shape(*hours).is_some_and(|shape| is_daily(shape.kind));
        few && counts && ground.is_input(*hours) && !ground.rests_on(cell, *hours)
    };
    if let Some(hours) = all_cells(ground.sheet).find(daily) {
        let times = ground.value(hours, "h/d").map(|hours| hours / 24.0);
        slips.habit(cell, &HOURS_OF_DAY, Some(hours), times);
    }
}

/// As many hours as there are readings, an hour apart.
fn fence_posts(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let pieces = factors(formula);
    let counted = pieces
        .iter()
        .any(|(above, part)| *above && call(part, Built::Count).is_some());
    let each = pieces
        .iter()
        .any(|(above, part)| *above && constant(part).is_some() && is_of(part.kind, "h"));
    if counted && each && pieces.len() == 2 {
        slips.habit(cell, &FENCE_POSTS, None, None);
    }
}

/// Several cylinders on the scale, and the tare of one.
fn tare_once(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let ground = slips.ground;
    let Some((over, under)) = difference_of(ground, formula).filter(|_| is_of(formula.kind, "lb")) else {
        return;
    };
    let several = [
        "together",
        "both",
        "two cylinders",
        "both cylinders",
        "both bottles",
        "the pair",
    ];
    let weighed = ground.says(over, &several) && ground.says(over, &["scale", "weighed", "gross"]);
    let tare = ground.says(under, &["tare", "tw"]) && !ground.says(under, &["sum", "both", "together", "added"]);
    let pounds = ground.value(over, "lb").zip(ground.value(under, "lb"));
    let Some((weight, one)) = pounds.filter(|(weight, one)| weighed && tare && *weight > 1.5 * one) else {
        return;
    };
    let mend = ground.at(cell, weight - 2.0 * one, "lb");
    slips.add(cell, Slip::Habit(&TARE_ONCE, Some(under)), mend);
}

/// A row of a table on top of the sum of its column.
fn row_and_sum(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let of = |part: &Typed, wanted: Built| match &call(part, wanted)?.first()?.node {
        Node::Column(column) => Some(NodeOf::Column(column.0)),
        Node::Cell(cell) => Some(NodeOf::Cell(*cell)),
        _ => None,
    };
    let sum = terms(formula);
    let made = sum
        .iter()
        .filter(|(up, _)| *up)
        .map(|(_, part)| made_of(slips, part))
        .collect::<Vec<&Typed>>();
    let summed: Vec<NodeOf> = made.iter().filter_map(|part| of(part, Built::Sum)).collect();
    if made
        .iter()
        .filter_map(|part| of(part, Built::CellInRow))
        .any(|row| summed.contains(&row))
    {
        slips.habit(cell, &ROW_AND_SUM, None, None);
    }
}

/// A column, as it is written or worked out.
#[derive(PartialEq)]
enum NodeOf {
    Column(u32),
    Cell(CellId),
}

/// A factor of 2 on a standard deviation of few.
fn two_for_few(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let ground = slips.ground;
    let pieces = factors(formula);
    let two = |(above, part): &(bool, &Typed)| {
        let bare = bare(part);
        let bare = bare.or_else(|| ground.value(cell_of(part)?, ""));
        *above && bare.is_some_and(|bare| (bare - 2.0).abs() < 0.05)
    };
    if !pieces.iter().any(two) {
        return;
    }
    let made = above(formula).flat_map(|part| ground.needs(part));
    let made = made.filter_map(|need| ground.formulas.get(&need)).chain([formula]);
    let rows = made.flat_map(parts).find_map(|part| {
        let Node::Column(ColumnId(slot)) = call(part, Built::Deviation)?.first()?.node else {
            return None;
        };
        Some(ground.sheet.column_cells(slot).iter().flatten().count())
    });
    if rows.is_some_and(|rows| (2..9).contains(&rows)) {
        slips.habit(cell, &TWO_FOR_FEW, None, None);
    }
}

/// A part of each reading, taken of the difference of two.
fn part_of_difference(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let ground = slips.ground;
    let of_reading = [
        "reading",
        "scale",
        "instrument",
        "meter",
        "repeat",
        "re hangings",
        "accuracy",
    ];
    let share = above(formula).find(|share| {
        let small = ground.value(*share, "").is_some_and(|share| share.abs() < 0.06);
        small && ground.is(*share, "") && ground.is_input(*share) && ground.says(*share, &of_reading)
    });
    let difference = above(formula).find(|part| {
        let made = ground.formulas.get(part);
        made.and_then(|made| difference_of(ground, made)).is_some()
    });
    if let (Some(_), Some(difference)) = (share, difference) {
        slips.habit(cell, &PART_OF_DIFFERENCE, Some(difference), None);
    }
}

/// Several figures that are copies of one, averaged as if each stood by itself.
fn same_source(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let ground = slips.ground;
    let sum = factors(formula).into_iter().map(|(_, part)| terms(part));
    let sum = sum.filter(|terms| terms.len() > 1).flatten().map(|(_, term)| term);
    let called = match &formula.node {
        Node::Call(_, arguments) if arguments.len() > 1 => arguments.as_slice(),
        _ => &[],
    };
    let cells: Vec<CellId> = sum.chain(called).filter_map(cell_of).collect();
    let copies = [
        "copies",
        "copied",
        "printed again",
        "according to",
        "taken from",
        "from the same",
        "quotes",
    ];
    let copied = cells.iter().filter(|cell| ground.says(**cell, &copies)).count() > 1;
    let known = [
        "leaflet",
        "maker",
        "manual",
        "brochure",
        "catalog",
        "data sheet",
        "advertisement",
    ];
    let alike = |word: &&str| cells.iter().all(|cell| ground.says(*cell, &[*word]));
    if copied && cells.iter().all(|cell| ground.is_input(*cell)) && known.iter().any(alike) {
        slips.habit(cell, &ONE_SOURCE, None, None);
    }
}

/// Readings that were left out for what they are.
fn left_out_by_value(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let near = slips.ground.near(cell);
    let picks = parts(formula)
        .into_iter()
        .any(|part| matches!(part.node, Node::Where(_)));
    let left_out = [
        "left out",
        "leave out",
        "leaves out",
        "dropped",
        "thrown out",
        "discarded",
        "not counted",
        "stay out",
        "stays out",
        "kept out",
        "not used",
        "isn t used",
    ];
    let reason = [
        "too far",
        "too high",
        "too low",
        "don t agree",
        "doesn t agree",
        "doesn t fit",
        "don t fit",
        "out of line",
        "outlier",
        "spoil",
        "spoils",
        "high ones",
        "low ones",
    ];
    let by_itself = parts(formula).into_iter().any(|part| {
        let Node::Where(sides) = &part.node else { return false };
        let Node::Compare(_, compared) = &sides.1.node else {
            return false;
        };
        let same = match (&sides.0.node, &compared.0.node) {
            (Node::Column(own), Node::Column(other)) => own == other,
            (Node::Cell(own), Node::Cell(other)) => own == other,
            _ => false,
        };
        same && constant(&compared.1).is_some()
    });
    if by_itself || picks && has_word(near, &left_out) && has_word(near, &reason) {
        slips.habit(cell, &LEFT_OUT_BY_VALUE, None, None);
    }
}

/// A value that a table has for the same thing, and has otherwise.
fn copied(slips: &mut Slips<'_>) {
    let sheet = slips.ground.sheet;
    let mut found = Vec::new();
    for table in sheet.tables().iter().filter(|table| table.cell.is_none()) {
        let is_text = |slot: &u32| {
            sheet
                .table_column(*slot)
                .is_some_and(|column| column.kind == Kind::Text)
        };
        let Some(keys) = table.columns.iter().copied().find(is_text) else {
            continue;
        };
        for slot in table.columns.iter().copied().filter(|slot| !is_text(slot)) {
            copied_from(slips.ground, keys, slot, &mut found);
        }
    }
    for (cell, own) in found {
        slips.add(cell, Slip::Habit(&OTHER_THAN_TABLE, None), Some((cell, own)));
    }
}

/// Inputs that name this column and one of its rows, with what the row has.
fn copied_from(ground: &Ground<'_>, keys: u32, slot: u32, found: &mut Vec<(CellId, Number)>) {
    let sheet = ground.sheet;
    let Some(column) = sheet.table_column(slot) else { return };
    let name = plain(&column.name.replace('_', " "));
    let of_kind = |cell: &CellId| {
        let shape = sheet.shape(*cell);
        ground.is_input(*cell) && shape.is_some_and(|shape| shape.kind == column.kind && !shape.column)
    };
    let inputs = all_cells(sheet).filter(of_kind);
    for cell in inputs.filter(|cell| ground.says(*cell, &[name.trim()])) {
        let rows = sheet.column_cells(keys).iter().zip(sheet.column_cells(slot));
        let rows = rows.filter_map(|(key, value)| Some((plain(sheet.texts().text((*key)?)), (*value)?)));
        let own = rows.filter(|(key, _)| key.trim().len() > 2 && ground.says(cell, &[key.trim()]));
        let own: Vec<Number> = own.map(|(_, value)| value).collect();
        if let ([own], Some(value)) = (own.as_slice(), super::number(sheet, cell))
            && *own != value
        {
            found.push((cell, *own));
        }
    }
}

/// The burn of another fuel with the propane of a cylinder.
fn other_fuel(slips: &mut Slips<'_>) {
    let ground = slips.ground;
    let propane = ["propane", "lp", "cylinder", "bottle"];
    let burn = |cell: &CellId| ground.shape(*cell).is_some_and(|shape| is_rate(shape.kind));
    let other = |cell: &CellId| ground.says(*cell, &["gasoline", "petrol", "diesel"]) && !ground.says(*cell, &propane);
    let rates = all_cells(ground.sheet).filter(|cell| ground.is_input(*cell) && burn(cell) && other(cell));
    for rate in rates.collect::<Vec<CellId>>() {
        let of_propane = |need: CellId| {
            let amount = ["lb", "gal", "lb/gal"].iter().any(|unit| ground.is(need, unit));
            amount && ground.says(need, &propane)
        };
        let heat = |need: CellId| ground.shape(need).is_some_and(|shape| is_heating_value(shape.kind));
        let meets = |user: &CellId| {
            *user != rate
                && ground.rests_on(*user, rate)
                && ground.needs(*user).any(of_propane)
                && !ground.needs(*user).any(heat)
        };
        if let Some(user) = all_cells(ground.sheet).find(meets) {
            slips.habit(rate, &OTHER_FUEL, Some(user), None);
        }
    }
}

const NET: &[&str] = &[
    "lower heating",
    "net heat",
    "lhv",
    "on net",
    "net basis",
    "of the net",
    "lower calorific",
    "lower net",
    "net heating",
];
const GROSS: &[&str] = &[
    "higher heating",
    "gross heat",
    "hhv",
    "on gross",
    "gross basis",
    "of the gross",
    "higher calorific",
    "gross higher",
    "gross heating",
];

/// Efficiencies on the one heat of the fuel that meet the other; `typed` has the basis of each heat
/// that was put in.
pub(super) fn bases_of_shares(slips: &mut Slips<'_>, appraisal: &Appraisal, typed: &[(CellId, &str)]) {
    let ground = slips.ground;
    let taken = appraisal.bases.iter().filter(|taken| taken.fuel == "propane");
    let taken = taken.map(|taken| (taken.cell, taken.basis.as_str()));
    let heats = typed.iter().copied().chain(taken);
    let heats: Vec<(CellId, &str)> = heats.filter(|(_, basis)| !basis.is_empty()).collect();
    let shares = all_cells(ground.sheet).filter(|cell| ground.is_input(*cell) && ground.is(*cell, ""));
    for share in shares.collect::<Vec<CellId>>() {
        let says = |own: &[&str], other: &[&str]| ground.says(share, own) && !ground.says(share, other);
        let basis = match () {
            () if says(NET, GROSS) => "net",
            () if says(GROSS, NET) => "gross",
            () => continue,
        };
        let meets = |user: &CellId| {
            let met = heats.iter().filter(|(heat, _)| ground.rests_on(*user, *heat));
            let met: Vec<&str> = met.map(|(_, basis)| *basis).collect();
            ground.rests_on(*user, share) && !met.is_empty() && met.iter().all(|met| *met != basis)
        };
        let meeting = all_cells(ground.sheet).filter(meets);
        if let Some(meeting) = meeting.min_by_key(|user| ground.needs(*user).count()) {
            // the same efficiency, told on the other heat
            let part = if basis == "net" {
                NET_OF_GROSS
            } else {
                1.0 / NET_OF_GROSS
            };
            let mend = ground.with(share, part, meeting);
            let mend = mend.and_then(|value| Some((meeting, Number::from_f64(value).ok()?)));
            slips.add(meeting, Slip::Habit(&BASIS_OF_SHARE, Some(share)), mend);
        }
    }
}

/// The sum of a column, and one of its rows by another name once more.
fn row_again(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let ground = slips.ground;
    let sheet = ground.sheet;
    let ups: Vec<CellId> = terms(formula)
        .into_iter()
        .filter_map(|(up, term)| cell_of(term).filter(|_| up))
        .collect();
    let column = ups
        .iter()
        .find_map(|up| match call(ground.formulas.get(up)?, Built::Sum)?.first()?.node {
            Node::Column(ColumnId(slot)) => Some(slot),
            _ => None,
        });
    let Some(slot) = column else { return };
    let again = ups.iter().copied().filter(|up| ground.is_input(*up)).find(|up| {
        let value = super::number(sheet, *up);
        sheet.column_cells(slot).iter().flatten().any(|row| Some(*row) == value)
    });
    let amount = again.and_then(|again| super::number(sheet, again));
    if let Some((again, amount)) = again.zip(amount) {
        slips.add(
            cell,
            Slip::Twice(again, cell),
            ground.changed(cell, |now| now - amount.to_f64()),
        );
    }
}

/// A sum of rows whose error the prose says to be the same in each.
fn same_in_all_rows(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let near = slips.ground.near(cell);
    let sums = parts(formula).into_iter().any(|part| call(part, Built::Sum).is_some()) && is_of(formula.kind, "lb");
    let same = [
        "same for each",
        "same for all",
        "the same at every",
        "the same at each",
        "same way for all",
    ];
    if sums && has_word(near, &same) && has_word(near, &["off", "error", "zero", "zeroed", "too much"]) {
        slips.habit(cell, &SAME_IN_ROWS, None, None);
    }
}

/// A mean of other lines with a smaller ± than they scatter.
fn surer_than_its_readings(slips: &mut Slips<'_>) {
    let ground = slips.ground;
    let sheet = ground.sheet;
    let value = |cell: CellId| super::number(sheet, cell).map(Number::to_f64);
    let kind = |cell: CellId| slips.ground.shape(cell).map(|shape| shape.kind);
    let inputs: Vec<CellId> = all_cells(sheet)
        .filter(|cell| ground.is_input(*cell) && super::is_number(sheet, *cell))
        .collect();
    for mean in inputs
        .iter()
        .copied()
        .filter(|cell| ground.says(*cell, &["mean", "an average"]))
    {
        let alike = inputs
            .iter()
            .copied()
            .filter(|other| *other != mean && kind(*other) == kind(mean));
        let alike: Vec<f64> = alike.filter_map(value).collect();
        let count = alike.len() as f64;
        let (Some(own), Some(tolerance)) = (value(mean), sheet.entry(mean).and_then(crate::sheet::tolerance_of)) else {
            continue;
        };
        let middle = alike.iter().sum::<f64>() / count;
        if alike.len() < 3 || (middle / own - 1.0).abs() > 0.01 {
            continue;
        }
        let spread = (alike.iter().map(|each| (each - middle).powi(2)).sum::<f64>() / (count - 1.0)).sqrt();
        let told = match tolerance.of {
            crate::syntax::tree::ToleranceOf::Percent => tolerance.amount.to_f64() / 100.0 * own,
            crate::syntax::tree::ToleranceOf::Unit(_) => tolerance.amount.to_f64(),
        };
        if told < 0.5 * spread / count.sqrt() {
            slips.habit(mean, &SURER_THAN_SCATTER, None, None);
        }
    }
}

/// The net heat of one fuel beside the gross heat of another.
fn two_bases(slips: &mut Slips<'_>) {
    let ground = slips.ground;
    let heats = all_cells(ground.sheet)
        .filter(|cell| ground.is_input(*cell) && ground.shape(*cell).is_some_and(|shape| is_heating_value(shape.kind)));
    let heats: Vec<CellId> = heats.collect();
    let net = heats
        .iter()
        .copied()
        .find(|heat| ground.says(*heat, NET) && !ground.says(*heat, GROSS));
    let gross = heats
        .iter()
        .copied()
        .find(|heat| ground.says(*heat, GROSS) && !ground.says(*heat, NET));
    let (Some(net), Some(gross)) = (net, gross) else { return };
    // of one fuel both may well stand there, to be held apart
    let other = [
        "gasoline",
        "diesel",
        "petrol",
        "e10",
        "kerosene",
        "natural gas",
        "butane",
        "oil",
    ];
    if ground.says(net, &other) == ground.says(gross, &other) {
        return;
    }
    let meets = |cell: &CellId| ground.rests_on(*cell, net) && ground.rests_on(*cell, gross);
    let meeting = all_cells(ground.sheet).filter(meets);
    if let Some(meeting) = meeting.min_by_key(|cell| ground.needs(*cell).count()) {
        slips.habit(meeting, &OTHER_BASIS, Some(net), None);
    }
}

/// A standard uncertainty from few readings, without its degrees of freedom.
fn few_without_freedom(slips: &mut Slips<'_>) {
    let ground = slips.ground;
    let few = ["three", "four", "five", "two", "root 3", "root 4", "root 5"];
    let of_runs = ["runs", "readings", "evenings", "nights", "weighings", "times"];
    let inputs = all_cells(ground.sheet).filter(|cell| ground.is_input(*cell));
    for cell in inputs.collect::<Vec<CellId>>() {
        let Some(tolerance) = ground.sheet.entry(cell).and_then(crate::sheet::tolerance_of) else {
            continue;
        };
        let standard = matches!(tolerance.form, crate::syntax::tree::ToleranceForm::Standard)
            && tolerance.degrees_of_freedom.is_none();
        let scattered = ground.says(cell, &["root", "s 0", "scatter", "standard deviation", "over root 3"])
            && ground.says(cell, &of_runs);
        if standard && scattered && ground.says(cell, &few) {
            slips.habit(cell, &TWO_FOR_FEW, None, None);
        }
    }
}

/// Heat through a wall over the heat of burning, in place of that of boiling.
fn heat_of_burning(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let ground = slips.ground;
    let film = ground.needs(cell).any(|need| ground.is(need, "W/(m2·C°)"));
    let heat = factors(formula)
        .into_iter()
        .find_map(|(above, part)| cell_of(part).filter(|_| !above));
    let burning = heat.and_then(|heat| Some((heat, ground.value(heat, "BTU/lb")?)));
    let Some((heat, amount)) = burning.filter(|(heat, amount)| film && *amount > 5000.0 && ground.is(*heat, "BTU/lb"))
    else {
        return;
    };
    if is_rate(formula.kind) {
        slips.habit(cell, &HEAT_OF_BURNING, Some(heat), Some(amount / 175.0));
    }
}

/// So many times what is left in each, taken off what it was taken off already.
fn taken_off_again(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let ground = slips.ground;
    let terms = terms(formula);
    let down = terms.iter().filter(|(up, term)| !*up && factors(term).len() > 1);
    let down = down
        .flat_map(|(_, term)| above(term))
        .filter(|part| ground.is(*part, "lb") && ground.is_input(*part));
    let inside = |left: &CellId| {
        let made = terms.iter().filter(|(up, _)| *up).flat_map(|(_, term)| above(term));
        made.filter_map(|part| ground.formulas.get(&part)).any(|made| {
            self::terms(made)
                .iter()
                .any(|(up, term)| !up && cell_of(term) == Some(*left))
        })
    };
    if let Some(left) = down.into_iter().find(inside) {
        slips.add(cell, Slip::Twice(left, cell), None);
    }
}

/// How far a mean may be off, for how far the next one may be.
fn error_of_mean(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let ground = slips.ground;
    let root = factors(formula)
        .into_iter()
        .any(|(above, part)| !above && call(part, Built::SquareRoot).is_some());
    let scatters = above(formula)
        .into_iter()
        .any(|part| ground.says(part, &["scatter", "standard deviation", "spread", "sd"]));
    let next = [
        "tonight",
        "one night",
        "a single",
        "next night",
        "one evening",
        "tomorrow",
        "one such",
    ];
    let user =
        all_cells(ground.sheet).find(|user| *user != cell && ground.rests_on(*user, cell) && ground.says(*user, &next));
    if let Some(user) = user.filter(|_| root && scatters) {
        slips.habit(cell, &ERROR_OF_MEAN, Some(user), None);
    }
}

/// A difference that was typed in, `38.2 less 35.1`, with a part of itself as its ±.
fn part_of_typed_difference(slips: &mut Slips<'_>) {
    let ground = slips.ground;
    let inputs = all_cells(ground.sheet).filter(|cell| ground.is_input(*cell));
    for cell in inputs.collect::<Vec<CellId>>() {
        let tolerance = ground.sheet.entry(cell).and_then(crate::sheet::tolerance_of);
        let percent =
            tolerance.is_some_and(|tolerance| matches!(tolerance.of, crate::syntax::tree::ToleranceOf::Percent));
        let words: Vec<&str> = ground.raw(cell).split([' ', ';', ',']).collect();
        let number = |word: &str| word.parse::<f64>().ok();
        let value = super::number(ground.sheet, cell).map(Number::to_f64);
        let less = words.windows(3).any(|three| match three {
            [one, "less" | "minus" | "-" | "−", other] => {
                let difference = number(one).zip(number(other)).map(|(one, other)| one - other);
                difference
                    .zip(value)
                    .is_some_and(|(difference, value)| (difference - value).abs() < 1e-6)
            }
            _ => false,
        });
        if percent && less {
            slips.habit(cell, &PART_OF_DIFFERENCE, None, None);
        }
    }
}
