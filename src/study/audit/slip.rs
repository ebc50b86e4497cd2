//! Slips that a line may have in it, each with what mending it would do.
//!
//! A slip is a suspicion: what stands there is read as the trade would read it. How much
//! it weighs is how far the answers move once it is mended in a copy. Start reading at
//! [`Slip`].

use crate::number::Number;
use crate::sheet::names::CellId;
use crate::trade::habits::Habit;
use crate::trade::yardsticks::{Ratio, Yardstick};
use crate::unit::Unit;

/// What may have gone wrong in a line.
#[derive(Clone, Copy, Debug)]
pub enum Slip {
    /// Outside what such a quantity comes to: the value in the unit of the yardstick, and what it is out by.
    Outside(&'static Yardstick, f64, Option<OutBy>),
    /// A conversion written as a number that isn't it: the unit, and the right number.
    Conversion(Unit, f64),
    /// A conversion written as a bare number, where units convert by themselves.
    Bare(f64, &'static Ratio),
    /// What is burnt gives this share of the net heat as electricity, at that load.
    Efficiency(f64, CellId),
    /// 80 % by volume taken of the weight of water.
    FillByVolume(CellId),
    /// More than the cylinder may hold: the share of its water capacity.
    Overfull(f64, CellId),
    /// A water capacity taken for propane.
    CapacityAsFuel(CellId),
    /// A water capacity that no cylinder of that tare has: so many times the tare.
    Shell(f64, CellId),
    /// The tare of another cylinder than was weighed.
    OtherCylinder(CellId, CellId),
    /// Hose on the scale at one of two weighings, by what their lines say.
    HoseMixed(CellId, CellId),
    /// Hose and regulator counted as propane.
    HoseAsFuel(CellId),
    /// Taken off or multiplied in twice: what, and where first.
    Twice(CellId, CellId),
    /// A factor that is in already: the number, and where first.
    FactorTwice(f64, CellId),
    /// A tax on a price whose line says that it has it.
    TaxedAlready(CellId),
    /// A length both ways, given to what counts there and back itself.
    BothWays(&'static str),
    /// Volts lost one way alone.
    OneWay,
    /// A slip that people make in good faith, and the other line that it comes with.
    Habit(&'static Habit, Option<CellId>),
    /// A factor or an allowance on top of tolerances.
    OnTop(f64),
    /// The source speaks of another coverage than the ±.
    Coverage(&'static str, &'static str),
    /// A share that doesn't go with how many there are.
    OtherShare(f64, CellId),
    /// The most that is drawn, carried on as if it lasted; what may have been meant.
    PeakCarried(CellId, Option<CellId>),
    /// Starting watts on top of what already runs.
    StartOnTop,
    /// Starts that a table has and no line uses: all running and the hardest starting, against which rating.
    StartsLeftOut(f64, CellId),
    /// A mean over the day, times the hours it runs.
    RestsTwice,
    /// Two results that share this input, asked whether they agree.
    SharedAgreement(CellId),
    /// Two results of one table's readings, asked whether they agree.
    SharedReadings(u32),
    /// Gallons of another temperature than they are sold at.
    OtherGallon,
    /// The source has the number with another unit.
    OtherUnit(&'static str, Unit),
    /// Weighed at the load of the house, carried to the load of the run.
    Swapped(CellId, CellId),
    /// A cylinder that is known, and counts in no answer.
    LeftOut(CellId),
    /// The fuel of several cylinders over what one of them gives.
    OneForAll(CellId, CellId),
    /// A rating on another fuel, or of starting.
    OtherRating(&'static str),
    /// A count of what must be there, rounded down.
    RoundedDown,
    /// The heat of the fuel taken for electricity.
    HeatAsPower(CellId),
}

/// What a value may be out by.
#[derive(Clone, Copy, Debug)]
pub enum OutBy {
    /// A ratio of two units.
    Ratio(&'static Ratio),
    /// It is one over what was meant, which is this.
    TurnedOver(f64),
}

/// A slip, and what mending it would do.
#[derive(Clone, Debug)]
pub struct Suspicion {
    /// The slip.
    pub slip: Slip,
    /// The answer that mending moves most; `None` where none moves, or it can't be mended in a copy.
    pub mended: Option<Mended>,
}

/// What mending a slip does to an answer.
#[derive(Clone, Debug)]
pub struct Mended {
    /// The answer that moves most, the first of several alike.
    pub answer: CellId,
    /// What it is.
    pub before: Number,
    /// What it would be.
    pub after: Number,
    /// The other answers that move, what they are and what they would be.
    pub others: Vec<(CellId, Number, Number)>,
}

impl Mended {
    /// How far it moves, as the logarithm of what it is multiplied by.
    pub fn size(&self) -> f64 {
        let (before, after) = (self.before.to_f64(), self.after.to_f64());
        if before * after > 0.0 {
            (after / before).ln().abs()
        } else {
            1.0
        }
    }
}

impl Slip {
    /// The code word.
    pub fn code(&self) -> &'static str {
        match self {
            Slip::Outside(..) => "outside-usual",
            Slip::Conversion(..) | Slip::Bare(..) => "odd-conversion",
            Slip::Efficiency(..) => "odd-burn",
            Slip::FillByVolume(_) => "fill-by-volume",
            Slip::Overfull(..) => "more-than-full",
            Slip::CapacityAsFuel(_) => "more-than-full",
            Slip::Shell(..) => "outside-usual",
            Slip::Habit(habit, _) => habit.code,
            Slip::OtherCylinder(..) => "other-cylinder",
            Slip::HoseMixed(..) => "hose-at-one",
            Slip::HoseAsFuel(_) => "hose-as-fuel",
            Slip::Twice(..) | Slip::FactorTwice(..) | Slip::TaxedAlready(_) => "counted-twice",
            Slip::BothWays(_) | Slip::OneWay => "there-and-back",
            Slip::OnTop(_) => "on-top-of-tolerance",
            Slip::Coverage(..) => "other-coverage",
            Slip::OtherShare(..) => "other-share",
            Slip::PeakCarried(..) => "peak-for-mean",
            Slip::StartOnTop => "start-on-top",
            Slip::RestsTwice => "rests-twice",
            Slip::SharedAgreement(_) | Slip::SharedReadings(_) => "shared-input",
            Slip::OtherGallon => "other-gallon",
            Slip::OtherUnit(..) => "other-unit",
            Slip::Swapped(..) => "loads-swapped",
            Slip::LeftOut(_) | Slip::StartsLeftOut(..) => "left-out-of-sum",
            Slip::OneForAll(..) => "other-share",
            Slip::OtherRating(_) => "other-rating",
            Slip::RoundedDown => "one-short",
            Slip::HeatAsPower(_) => "heat-as-power",
        }
    }
}
