//! The worst of every foot over all cases of riders and wind.

use super::Extreme;
use super::any_ground::{End, Found};
use super::cases::Case;
use super::on_ground::{Footing, Upon};
use super::standing::Standing;
use crate::Step;

/// Of one foot, the worst over all cases.
#[derive(Clone, Copy)]
pub(super) struct Worst {
    pub(super) least: Found,
    pub(super) greatest: Found,
    pub(super) lifts: bool,
    pub(super) lifts_out_of_service: bool,
}

/// Degrees from the tongue to the left.
pub(super) fn toward_deg(step: Step) -> f64 {
    libm::atan2(step.y, step.x).to_degrees()
}

impl Extreme {
    fn end(&self, end: End, which: usize) -> Found {
        let (load, at) = match end {
            End::Least => (self.least, self.least_at),
            End::Greatest => (self.greatest, self.greatest_at),
        };
        Found { load, which, at }
    }
}

impl Standing<'_> {
    /// What is seen of every case on one ground; `None` for each that may go over.
    pub(super) fn seen(&self, cases: &[Case], footing: &Footing) -> Vec<Option<Vec<Extreme>>> {
        let each = cases.iter().map(|case| footing.seen(&self.upon(case)));
        each.collect()
    }

    /// One end of a foot in every case that cannot go over.
    pub(super) fn all(
        &self,
        cases: &[Case],
        seen: &[Option<Vec<Extreme>>],
        foot: usize,
        end: End,
    ) -> Vec<(Upon, Found)> {
        let each = cases.iter().zip(seen).enumerate();
        let each = each.filter_map(|(which, (case, seen))| {
            let own = seen.as_ref()?.get(foot)?;
            Some((self.upon(case), own.end(end, which)))
        });
        each.collect()
    }

    /// The worst of every foot. A frame that goes over leaves feet hanging, and the others with
    /// everything.
    pub(super) fn worst(&self, cases: &[Case]) -> Vec<Worst> {
        let seen = self.seen(cases, &self.footing);
        let over = |end: End| {
            let goes_over = cases.iter().zip(&seen).enumerate();
            let goes_over = goes_over.filter(|(_, (_, seen))| seen.is_none());
            let each = goes_over.map(move |(which, (case, _))| Found {
                load: if end == End::Least { 0.0 } else { case.weight },
                which,
                at: Step::zeros(),
            });
            each.collect::<Vec<_>>()
        };
        let (hanging, everything) = (over(End::Least), over(End::Greatest));
        let feet = (0..self.feet.len()).map(|foot| {
            let least = self.all(cases, &seen, foot, End::Least);
            let in_service = |found: &Found| cases.get(found.which).is_some_and(Case::in_service);
            // Those in service come before the others: of several as bad, the first.
            let (working, resting): (Vec<_>, Vec<_>) =
                least.into_iter().partition(|(_, found)| in_service(found));
            let (hung, hung_at_rest): (Vec<Found>, Vec<Found>) =
                hanging.iter().copied().partition(in_service);
            let least = |all: &[(Upon, Found)], hung: &[Found]| {
                let found = hung.first().copied();
                found.or_else(|| self.footing.worst(foot, End::Least, all))
            };
            let (working, resting) = (least(&working, &hung), least(&resting, &hung_at_rest));
            let lifts = |found: &Option<Found>| found.is_some_and(|found| found.load <= 0.0);
            let all = self.all(cases, &seen, foot, End::Greatest);
            let greatest = self.footing.worst(foot, End::Greatest, &all);
            let both = working.into_iter().chain(resting);
            let either = greatest.into_iter().chain(everything.iter().copied());
            Worst {
                least: both
                    .reduce(|worst, next| if next.load < worst.load { next } else { worst })
                    .unwrap_or_default(),
                greatest: either
                    .reduce(|worst, next| if next.load > worst.load { next } else { worst })
                    .unwrap_or_default(),
                lifts: lifts(&working),
                lifts_out_of_service: lifts(&resting),
            }
        });
        feet.collect()
    }
}
