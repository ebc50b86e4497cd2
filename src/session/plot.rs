//! `plot` and `keep plot`: a chart drawn now, and put into the record.
//!
//! Drawing is no step; what was drawn last is remembered as it was typed.
//! Start reading at [`Session::plot`].

use crate::problem::{Code, Place, Problem};
use crate::report::chart::Chart;
use crate::report::compose;
use crate::sheet::checker::describe;
use crate::syntax::tree::{Node, Plot};

use super::journal::Act;
use super::{Outcome, Refusal, Session};

impl Session {
    /// Draws `plot COLUMN over COLUMN by COLUMN "title"` on the case and the trials in hand.
    ///
    /// # Errors
    /// It can't be read, or one of the two is no column with values.
    pub fn plot(&mut self, line: &str) -> Result<Chart, Refusal> {
        let item = self.read_entry(line)?;
        let Node::Plot(plot) = item.node else {
            return Err(Refusal::new("this is no plot").help("write `plot COLUMN over COLUMN \"TITLE\"`"));
        };
        self.check_plot(line, &plot)?;
        let appraisal = self.sheet.appraise(compose::chart::cells_of(&self.sheet, &plot));
        self.drawn = Some(line.to_owned());
        Ok(compose::chart::plot(
            &self.sheet,
            (line, &plot),
            &appraisal,
            self.options,
        ))
    }

    /// That both sides are columns with values.
    fn check_plot(&mut self, line: &str, plot: &Plot) -> Result<(), Refusal> {
        for side in plot.columns() {
            let found = self.sheet.evaluate(line, side, None);
            let found = found.map_err(|problems| self.refused(line, &problems))?;
            if !found.shape.column {
                let message = format!("a plot draws columns, and this is {}", describe(found.shape.kind));
                let problem = Problem::new(Code::ColumnOrValue, message, Place::new(0, side.span));
                let problem = problem.help("name a column, such as `log.gross`");
                return Err(self.refused(line, &[problem]));
            }
        }
        Ok(())
    }

    /// Adds the chart drawn last to the record, as a plot line.
    ///
    /// # Errors
    /// None was drawn.
    pub fn keep_plot(&mut self) -> Result<Outcome, Refusal> {
        let Some(line) = self.drawn.clone() else {
            let refusal = Refusal::new("no chart was drawn yet");
            return Err(refusal.help("`plot COLUMN over COLUMN \"TITLE\"` draws one"));
        };
        if let Some(known) = self.plot_line(&line) {
            return Ok(Outcome::said(format!("Line {known} already says so")));
        }
        let act = Act::KeepPlot(line.clone());
        self.act("keep plot", act, |session| session.put_entry(&line))
    }

    /// Adds a chart that was drawn in a session before.
    pub(super) fn keep_drawn(&mut self, line: &str) -> Result<Outcome, Refusal> {
        self.drawn = Some(line.to_owned());
        self.keep_plot()
    }

    /// The line of the record that says the same.
    fn plot_line(&self, line: &str) -> Option<u32> {
        let tree = self.sheet.tree();
        let same = |text: &str| text.split_whitespace().eq(line.split_whitespace());
        let mut items = tree.items.iter().enumerate();
        let (index, _) =
            items.find(|(index, item)| matches!(item.node, Node::Plot(_)) && same(tree.text_of(*index)))?;
        Some(self.sheet.line(u32::try_from(index).ok()?))
    }
}
