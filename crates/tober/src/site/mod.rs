//! The site: one fairground with its survey, its features, its rides and its truck.
//!
//! [`SiteFile`] is the document as people keep it. [`Site`] is the same thing after every check
//! in `check` has passed; only a `Site` can be assessed.
//!
//! ```text
//! text ──read──► SiteFile ──check──► Site
//!        └─ syntax, types    └─ sense, limits     (every fault at once, each with its place)
//! ```

mod check;
mod file;
mod groundwork;
mod read;
#[cfg(test)]
mod tests;
mod write;

pub use check::{Fault, Faults, Severity, limits};
pub use file::*;
pub use groundwork::Groundwork;
pub use read::ReadError;

use std::fmt;
use std::sync::Arc;

use crate::Point;
use crate::clearance::{Surroundings, contains};
use crate::ground::Ground;
use crate::ride::{self, RideProfile, Swing};
use crate::slices::{Progress, in_one_go, no_pause};
use crate::survey::{Datum, FieldBook, Reduction};

/// A checked site, with the ground prepared.
///
/// Cheap to clone and to move rides on: the survey's triangulated surface is built once and
/// shared, so that dragging a ride does not build it again.
#[derive(Clone)]
pub struct Site {
    file: SiteFile,
    ground: Arc<Ground>,
    /// The features, ready to be measured to.
    surroundings: Arc<Surroundings>,
    /// The profile of every placed ride, in the order of the rides.
    profiles: Arc<[RideProfile]>,
    /// The field books reduced, in the order of the file.
    reductions: Arc<[Reduction]>,
    /// What is questionable however the rides are moved.
    lasting_warnings: Arc<[Fault]>,
    /// The lasting warnings, then those of the rides' places.
    warnings: Vec<Fault>,
}

/// In a line: a message that quotes a site must not pour its survey out.
impl fmt::Debug for Site {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Site")
            .field("name", &self.file.name)
            .field("spot_levels", &self.file.spot_levels.len())
            .field("rides", &self.file.rides)
            .finish_non_exhaustive()
    }
}

impl Site {
    /// Reads a site file and checks it.
    ///
    /// # Errors
    ///
    /// Every fault found: where the text stops being JSON, or each value of the wrong type and
    /// each value that makes no sense, with its path.
    ///
    /// ```
    /// use tober::site::Site;
    /// let error = Site::read(r#"{ "format": "tober-site", "version": 1, "#).unwrap_err();
    /// assert!(error.to_string().starts_with("line 1, column "));
    /// ```
    pub fn read(json: &str) -> Result<Site, ReadError> {
        in_one_go(Site::read_in_slices(json, &no_pause))
    }

    /// The same in slices, for those whom a person waits for: comes to a `pause` after each.
    ///
    /// # Errors
    ///
    /// As [`Site::read`].
    pub async fn read_in_slices(
        json: &str,
        pause: &impl AsyncFn(Progress),
    ) -> Result<Site, ReadError> {
        read::site(json, pause).await
    }

    /// Checks a site file and prepares its ground.
    ///
    /// # Errors
    ///
    /// Every fault found, warnings among them; at least one is an error.
    pub fn new(file: SiteFile) -> Result<Site, Faults> {
        in_one_go(Site::prepare(file, &no_pause))
    }

    /// The same in slices, for those whom a person waits for: comes to a `pause` after each.
    ///
    /// # Errors
    ///
    /// As [`Site::new`].
    pub async fn prepare(file: SiteFile, pause: &impl AsyncFn(Progress)) -> Result<Site, Faults> {
        Site::prepare_from(None, file, pause).await
    }

    /// The site after a change of its file. Where the survey is as it was its ground is shared.
    ///
    /// # Errors
    ///
    /// As [`Site::new`].
    pub fn changed(&self, file: SiteFile) -> Result<Site, Faults> {
        in_one_go(Site::prepare_from(Some(self), file, &no_pause))
    }

    async fn prepare_from(
        before: Option<&Site>,
        file: SiteFile,
        pause: &impl AsyncFn(Progress),
    ) -> Result<Site, Faults> {
        let mut checked = check::file(&file)?;
        pause(Progress {
            doing: "Checking",
            done: 1,
            of: 1,
        })
        .await;
        let profiles = file
            .rides
            .iter()
            .filter_map(|ride| find_profile(&file, &ride.profile).cloned())
            .collect();
        let shots = shots(&file, &checked.reductions);
        let is_alike =
            |before: &&Site| before.file.breaklines == file.breaklines && before.shots() == shots;
        let ground = match before.filter(is_alike) {
            Some(before) => before.ground.clone(),
            None => Arc::new(Ground::prepare(&shots, &file.breaklines, pause).await),
        };
        checked.warnings.extend(check::surface(&ground));
        let surroundings = Arc::new(Surroundings::new(&file.features, &ground));
        Ok(Site {
            file,
            ground,
            surroundings,
            profiles,
            lasting_warnings: checked.warnings.into(),
            reductions: checked.reductions.into(),
            warnings: Vec::new(),
        }
        .with_place_warnings())
    }

    /// The same site with one ride at another place.
    ///
    /// Off the lot and outside the survey are warnings, not faults: a ride being dragged may
    /// pass over anything.
    ///
    /// # Errors
    ///
    /// When there is no such ride, or a number of the placement is not finite or is absurd.
    pub fn with_placement(&self, ride_index: usize, placement: Placement) -> Result<Site, Faults> {
        check::placement(self.file.rides.len(), ride_index, placement)?;
        let mut site = self.clone();
        if let Some(ride) = site.file.rides.get_mut(ride_index) {
            ride.placement = placement;
        }
        Ok(site.with_place_warnings())
    }

    /// The same site with one ride's hung chairs at another full speed, turns a minute: to ask
    /// what would be. The file stays as it is.
    ///
    /// # Errors
    ///
    /// When there is no such ride, no chair hangs on it, or nothing turns at that speed.
    pub fn with_full_speed(&self, ride_index: usize, rpm: f64) -> Result<Site, Faults> {
        let mut profiles = self.profiles.to_vec();
        let chairs = profiles.get_mut(ride_index).and_then(|profile| {
            let Swing::HungChairs(chairs) = &mut profile.swing else {
                return None;
            };
            Some(chairs)
        });
        check::full_speed(chairs.is_some(), ride_index, rpm)?;
        if let Some(chairs) = chairs {
            chairs.full_speed_rpm = rpm;
        }
        Ok(Site {
            profiles: profiles.into(),
            ..self.clone()
        })
    }

    /// The same site with one ride's arms rising to another angle, degrees from the level: to ask
    /// what is swept until then. The file stays as it is.
    ///
    /// # Errors
    ///
    /// When there is no such ride, it does not raise its arms, or an arm cannot stand so.
    pub fn with_arms_raised(&self, ride_index: usize, degrees: f64) -> Result<Site, Faults> {
        let mut profiles = self.profiles.to_vec();
        let arms = profiles.get_mut(ride_index).and_then(|profile| {
            let Swing::RisingArms(arms) = &mut profile.swing else {
                return None;
            };
            Some(arms)
        });
        let lowest = arms.as_ref().map(|arms| arms.lowest_deg);
        check::raised(lowest, ride_index, degrees)?;
        if let Some(arms) = arms {
            arms.highest_deg = degrees;
        }
        Ok(Site {
            profiles: profiles.into(),
            ..self.clone()
        })
    }

    fn with_place_warnings(mut self) -> Site {
        self.warnings = self.lasting_warnings.to_vec();
        self.warnings.extend(check::places(&self));
        self
    }

    /// The file that the site was made from, with the rides where they now stand.
    pub fn file(&self) -> &SiteFile {
        &self.file
    }

    /// The field books of the file, reduced, in their order.
    pub fn reductions(&self) -> &[Reduction] {
        &self.reductions
    }

    /// The field books that give the ground heights although they do not close. Such heights are
    /// off by nobody knows how much: nothing that rests on them is known.
    pub fn unclosed_books(&self) -> impl Iterator<Item = (&FieldBook, &Reduction)> {
        let books = self.file.field_books.iter().zip(self.reductions.iter());
        books.filter(|(_, reduction)| {
            reduction.worst_closure().is_some()
                && counts_alike(&self.file, reduction)
                && reduction.spot_levels().next().is_some()
        })
    }

    /// Every height that the ground is built from: the spot levels, and the points of the field
    /// books that have a place. The points of the breaklines come on top.
    pub fn shots(&self) -> Vec<SpotLevel> {
        shots(&self.file, &self.reductions)
    }

    /// The surface through the spot levels.
    pub fn ground(&self) -> &Ground {
        &self.ground
    }

    /// Whether another site has the very same ground, prepared once for both.
    pub fn shares_ground_with(&self, other: &Site) -> bool {
        Arc::ptr_eq(&self.ground, &other.ground)
    }

    /// The features, ready to be measured to.
    pub(crate) fn surroundings(&self) -> &Surroundings {
        &self.surroundings
    }

    /// The profile of a placed ride, by the ride's place in the list.
    pub fn profile(&self, ride_index: usize) -> Option<&RideProfile> {
        self.profiles.get(ride_index)
    }

    /// The ground at a place: the last zone in the file that covers it lies on top.
    pub(crate) fn zone_at(&self, at: Point) -> Option<&GroundZone> {
        let zones = self.file.features.ground_zones.iter();
        zones.rev().find(|zone| contains(&zone.outline, at))
    }

    /// What is questionable although the site can be used.
    pub fn warnings(&self) -> &[Fault] {
        &self.warnings
    }

    /// The site file as text, laid out for people: a point or a spot level takes one line.
    pub fn to_json(&self) -> String {
        write::to_json(&self.file)
    }
}

impl SiteFile {
    /// Whether all heights come out of a single field book, so that they may count from its own
    /// high corner.
    fn stands_alone(&self) -> bool {
        self.field_books.len() == 1 && self.spot_levels.is_empty() && self.breaklines.is_empty()
    }
}

/// Whether the heights of a field book count from the same zero as all others.
fn counts_alike(file: &SiteFile, book: &Reduction) -> bool {
    !matches!(book.datum, Datum::HighCorner(_)) || file.stands_alone()
}

/// The spot levels, and the points of the field books whose heights count from the same zero.
fn shots(file: &SiteFile, reductions: &[Reduction]) -> Vec<SpotLevel> {
    let read = reductions
        .iter()
        .filter(|book| counts_alike(file, book))
        .flat_map(Reduction::spot_levels);
    file.spot_levels.iter().cloned().chain(read).collect()
}

/// The profile of that id: the file's own, or else the built-in one.
pub(crate) fn find_profile<'a>(file: &'a SiteFile, id: &str) -> Option<&'a RideProfile> {
    file.profiles
        .iter()
        .chain(ride::builtin())
        .find(|profile| profile.id == id)
}
