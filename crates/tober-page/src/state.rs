//! The one store: the site that is worked on, what follows from it, and what is looked at.

use std::collections::BTreeSet;
use std::sync::Arc;

use leptos::prelude::*;
use tober::Point;
use tober::assess::{Assessment, RideAssessment, assess};
use tober::clearance::{ClearanceRow, Part};
use tober::ground::NextShot;
use tober::ride::{Swing, builtin};
use tober::site::{Fault, PlacedRide, Placement, Site, SiteFile};
use tober::units::LengthStyle;
use tober_drawing::{PlanOptions, Terrain, Window};

use crate::browser;
use crate::history::History;
use crate::kept;
use crate::print::Paper;
use crate::samples::SAMPLES;
use crate::survey::OpenedPoints;
use crate::timing::{Timing, timed};
use crate::turns::Turns;

/// What part of the answer is looked at.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Tab {
    Place,
    Level,
    Loads,
    Clear,
    Fence,
    Survey,
}

impl Tab {
    pub(crate) const ALL: [Tab; 6] = [
        Tab::Place,
        Tab::Level,
        Tab::Loads,
        Tab::Clear,
        Tab::Fence,
        Tab::Survey,
    ];

    pub(crate) fn word(self) -> &'static str {
        match self {
            Tab::Place => "Place",
            Tab::Level => "Level",
            Tab::Loads => "Loads",
            Tab::Clear => "Clear",
            Tab::Fence => "Fence",
            Tab::Survey => "Survey",
        }
    }
}

/// Something the person must be told at once, until they put it away.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Notice {
    /// What is going on.
    Busy(String),
    /// What happened, or why something did not.
    Words(String),
    /// Why a file cannot be used. The work at hand is as it was.
    Refused { file: String, faults: Vec<Fault> },
}

/// What lies still while rides move: the site as it was when its ground or features last
/// changed, and its contours.
#[derive(Clone, Debug)]
pub(crate) struct Scene {
    pub(crate) site: Arc<Site>,
    pub(crate) terrain: Arc<Terrain>,
}

/// What the plan was last told to show: another size of the plan then shows the same.
#[derive(Clone, Copy, Debug)]
enum Look {
    Lot,
    Ride,
    /// Wherever the hand has moved the paper.
    Own,
}

/// Which clearance row is picked: rows change their order while a ride moves, so it is named by
/// what it is between.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct RowKey {
    part: Part,
    space: String,
    rule: String,
    against: String,
}

impl RowKey {
    pub(crate) fn of(row: &ClearanceRow) -> RowKey {
        RowKey {
            part: row.part,
            space: row.space.clone(),
            rule: row.rule.clone(),
            against: row.against_id.clone(),
        }
    }
}

/// What the next press on the plan puts down.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Placing {
    /// The feature's id.
    pub(crate) id: String,
    /// Which of its places: a rope has one at each end.
    pub(crate) place: usize,
}

/// Handles to everything that the page shows. Copies are the same store.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Store {
    pub(crate) site: RwSignal<Arc<Site>>,
    pub(crate) assessment: RwSignal<Arc<Assessment>>,
    pub(crate) scene: RwSignal<Scene>,
    /// The ride that is worked on, by its place in the list.
    pub(crate) ride: RwSignal<usize>,
    pub(crate) tab: RwSignal<Tab>,
    pub(crate) picked: RwSignal<Option<RowKey>>,
    /// Another full speed of the ride that is worked on, turns a minute, or another angle that its
    /// arms rise to, degrees: to see what would be.
    pub(crate) what_if: RwSignal<Option<f64>>,
    /// What would follow from it. Never kept, and shown only among the clearances.
    imagined: Memo<Option<Arc<Assessment>>>,
    pub(crate) window: RwSignal<Window>,
    look: StoredValue<Look>,
    /// Width and height of the drawing, CSS pixels.
    pub(crate) size: RwSignal<(f64, f64)>,
    pub(crate) notice: RwSignal<Option<Notice>>,
    /// Acts of the crank order that are ticked off, by [`crate::level::tick_key`].
    pub(crate) ticks: RwSignal<BTreeSet<String>>,
    pub(crate) tall_plan: RwSignal<bool>,
    pub(crate) printing: RwSignal<bool>,
    /// What is printed, while it is.
    pub(crate) paper: RwSignal<Paper>,
    pub(crate) history: RwSignal<History>,
    /// Counts the moves by hand: what is spoken follows it.
    pub(crate) moves: RwSignal<u32>,
    /// What the next press on the plan puts down, if anything.
    pub(crate) placing: RwSignal<Option<Placing>>,
    /// Where on the lot the ground is asked for, while somebody points at it.
    pub(crate) probe: RwSignal<Option<Point>>,
    /// Whether it is asked for by the keyboard: a cross stands there, and the height is spoken.
    pub(crate) cross: RwSignal<bool>,
    /// Where one more shot is worth most, for the site that was asked about.
    pub(crate) next_shot: RwSignal<Option<(Arc<Site>, NextShot)>>,
    /// The ends of the section that is looked at.
    pub(crate) section: RwSignal<[Option<Point>; 2]>,
    /// A point file that has been opened and not yet been taken in.
    pub(crate) import: RwSignal<Option<Arc<OpenedPoints>>>,
    /// Which long work is going on, by its number.
    work: StoredValue<u32>,
    wanted: StoredValue<Option<(usize, Placement)>>,
    last_nudge: StoredValue<(usize, f64)>,
}

/// Spot levels from which on a site is shown in turns.
const LARGE: usize = 20_000;

/// Nudges that follow each other this fast are undone together, milliseconds.
const ONE_NUDGE: f64 = 700.0;

impl Store {
    /// The state that the browser keeps, or else the demo fair.
    pub(crate) fn open() -> Store {
        let kept = kept::read();
        let (site, notice) = match kept.site.as_deref().map(Site::read) {
            Some(Ok(site)) => (site, None),
            // Kept by another version, say: the demo, a word, and nothing thrown away.
            Some(Err(error)) => {
                kept::put_aside();
                let words = format!(
                    "What this browser has kept cannot be used, so the demo fair is shown. {error}"
                );
                (demo(), Some(Notice::Words(words)))
            }
            None => (demo(), None),
        };
        let site = Arc::new(site);
        let assessment = Arc::new(assess(&site));
        let ride = kept.ride.min(assessment.rides.len().saturating_sub(1));
        let window = Window::fit(&site, 800.0, 600.0);
        let scene = Scene::of(&site);
        let (site, ride) = (RwSignal::new(site), RwSignal::new(ride));
        let (tab, printing) = (RwSignal::new(kept.tab), RwSignal::new(false));
        let what_if = RwSignal::new(None);
        let imagined = Memo::new(move |_| {
            let other = what_if.get()?;
            if tab.get() != Tab::Clear || printing.get() {
                return None;
            }
            let ride = ride.get();
            let imagined = site.with(|site| match &site.profile(ride)?.swing {
                Swing::RisingArms(_) => site.with_arms_raised(ride, other).ok(),
                _ => site.with_full_speed(ride, other).ok(),
            });
            Some(Arc::new(assess(&imagined?)))
        });
        Store {
            window: RwSignal::new(window),
            what_if,
            imagined,
            paper: RwSignal::new(Paper::Sheet),
            size: RwSignal::new((0.0, 0.0)),
            look: StoredValue::new(Look::Own),
            scene: RwSignal::new(scene),
            assessment: RwSignal::new(assessment),
            site,
            ride,
            tab,
            picked: RwSignal::new(None),
            notice: RwSignal::new(notice),
            ticks: RwSignal::new(kept.ticks),
            tall_plan: RwSignal::new(false),
            printing,
            history: RwSignal::new(History::default()),
            moves: RwSignal::new(0),
            placing: RwSignal::new(None),
            probe: RwSignal::new(None),
            cross: RwSignal::new(false),
            next_shot: RwSignal::new(None),
            section: RwSignal::new([None; 2]),
            import: RwSignal::new(None),
            work: StoredValue::new(0),
            wanted: StoredValue::new(None),
            last_nudge: StoredValue::new((0, f64::NEG_INFINITY)),
        }
    }

    pub(crate) fn style(&self) -> LengthStyle {
        self.assessment.with(|assessment| assessment.units)
    }

    /// Reads the ride that is worked on; `None` when there is none.
    pub(crate) fn with_ride<T>(
        &self,
        read: impl FnOnce(&RideAssessment, LengthStyle) -> T,
    ) -> Option<T> {
        let index = self.ride.get();
        self.assessment.with(|assessment| {
            let ride = assessment.rides.get(index)?;
            Some(read(ride, assessment.units))
        })
    }

    /// Reads what is shown of the clearances: what follows from the site, or from another speed.
    pub(crate) fn with_shown<T>(&self, read: impl FnOnce(&Assessment) -> T) -> T {
        match self.imagined.get() {
            Some(imagined) => read(&imagined),
            None => self.assessment.with(|assessment| read(assessment)),
        }
    }

    /// As [`Store::with_shown`], the ride that is worked on.
    pub(crate) fn with_shown_ride<T>(
        &self,
        read: impl FnOnce(&RideAssessment, LengthStyle) -> T,
    ) -> Option<T> {
        let index = self.ride.get();
        self.with_shown(|assessment| {
            let ride = assessment.rides.get(index)?;
            Some(read(ride, assessment.units))
        })
    }

    /// The speed or the angle that is imagined, while it shows.
    pub(crate) fn imagined_other(&self) -> Option<f64> {
        self.imagined
            .with(Option::is_some)
            .then(|| self.what_if.get())?
    }

    /// Where a ride stands now.
    pub(crate) fn placement(&self, ride: usize) -> Option<Placement> {
        self.site
            .with_untracked(|site| Some(site.file().rides.get(ride)?.placement))
    }

    pub(crate) fn plan_options(&self) -> PlanOptions {
        let (width, height) = self.size.get();
        // On paper: the whole lot, and nothing to grasp.
        if self.printing.get() {
            return self.site.with(|site| PlanOptions::fit(site, width, height));
        }
        PlanOptions {
            width,
            height,
            window: self.window.get(),
            selected: Some(self.ride.get()),
            picked: None,
        }
    }

    /// Where the picked row now stands among the clearances of the ride that is worked on.
    pub(crate) fn picked_row(&self) -> Option<usize> {
        let key = self.picked.get()?;
        self.with_shown_ride(|ride, _| {
            let mut rows = ride.clearances.iter();
            rows.position(|row| RowKey::of(row) == key)
        })?
    }

    pub(crate) fn select(&self, ride: usize) {
        if self.ride.get_untracked() != ride {
            self.ride.set(ride);
            self.picked.set(None);
            self.what_if.set(None);
        }
    }

    /// Remembers the site as it is, for undo. Called once before a drag, a turn or a typed move.
    pub(crate) fn remember(&self) {
        let site = self.site.get_untracked();
        self.history.update(|history| history.remember(site));
    }

    /// Moves a ride when the browser next draws: however many of these come in between, one
    /// assessment a frame.
    pub(crate) fn move_soon(&self, ride: usize, placement: Placement) {
        let store = *self;
        let idle = self.wanted.with_value(Option::is_none);
        self.wanted.set_value(Some((ride, placement)));
        if idle {
            request_animation_frame(move || {
                let wanted = store.wanted.try_update_value(Option::take).flatten();
                if let Some((ride, placement)) = wanted {
                    let step = Timing::start("step", "step:start");
                    store.move_now(ride, placement);
                    leptos::task::spawn_local(async move {
                        leptos::task::tick().await;
                        step.stop();
                    });
                }
            });
        }
    }

    /// Moves a ride. A placement that no lot could have is left aside, and said.
    pub(crate) fn move_now(&self, ride: usize, placement: Placement) {
        let moved = self
            .site
            .with_untracked(|site| site.with_placement(ride, placement));
        match moved {
            Ok(site) => {
                self.show(Arc::new(site));
                self.moves.update(|moves| *moves += 1);
            }
            Err(faults) => self.notice.set(Some(Notice::Words(faults.to_string()))),
        }
    }

    /// Moves a ride by a step of the keyboard or of a button.
    pub(crate) fn nudge(&self, ride: usize, change: impl FnOnce(&mut Placement)) {
        let Some(mut placement) = self.placement(ride) else {
            return;
        };
        let (last, at) = self.last_nudge.get_value();
        let now = browser::now();
        if last != ride || now - at > ONE_NUDGE {
            self.remember();
        }
        self.last_nudge.set_value((ride, now));
        change(&mut placement);
        placement.heading = placement.heading.rem_euclid(360.0);
        self.move_now(ride, placement);
    }

    pub(crate) fn undo(&self) {
        let shown = self.site.get_untracked();
        if let Some(Some(site)) = self.history.try_update(|history| history.undo(shown)) {
            self.show_changed(site);
        }
    }

    pub(crate) fn redo(&self) {
        let shown = self.site.get_untracked();
        if let Some(Some(site)) = self.history.try_update(|history| history.redo(shown)) {
            self.show_changed(site);
        }
    }

    /// Opens another site in place of the shown one, which undo brings back.
    pub(crate) async fn open_site(&self, site: Site) {
        self.remember();
        self.ride.set(0);
        self.picked.set(None);
        self.show_in_turns(site).await;
        self.look_first();
    }

    /// Shows lengths in another style; the file then says so too.
    pub(crate) fn set_style(&self, style: LengthStyle) {
        self.change_file(|file| file.units = style);
    }

    /// Puts another ride of a built-in profile where the plan is looked at.
    pub(crate) fn add_ride(&self, profile: &str) {
        let Some(profile) = builtin().iter().find(|known| known.id == profile) else {
            return;
        };
        let centre = self.window.get_untracked().centre;
        let last = self.site.with_untracked(|site| site.file().rides.len());
        self.change_file(|file| {
            let id = (1..)
                .map(|number| format!("{}-{number}", profile.id))
                .find(|id| file.rides.iter().all(|ride| ride.id != *id));
            let same = |ride: &&PlacedRide| ride.profile == profile.id;
            let name = match file.rides.iter().filter(same).count() {
                0 => String::new(),
                others => format!("{} {}", profile.name, others + 1),
            };
            file.rides.push(PlacedRide {
                fence_gaps: Default::default(),
                id: id.unwrap_or_default(),
                name,
                profile: profile.id.clone(),
                placement: Placement {
                    x: centre.x,
                    y: centre.y,
                    heading: 0.0,
                },
            });
        });
        let count = self.site.with_untracked(|site| site.file().rides.len());
        if count > last {
            self.select(last);
        }
    }

    /// Takes a ride off the lot.
    pub(crate) fn remove_ride(&self, ride: usize) {
        self.change_file(|file| {
            if ride < file.rides.len() {
                let gone = file.rides.remove(ride);
                file.features.forget_ride(&gone.id);
                file.bonds.retain(|bond| !bond.rides.contains(&gone.id));
            }
        });
    }

    /// Changes more of the site than a place: it is checked again as a whole, and stays as it
    /// was when the checks fail. Whether it was changed.
    pub(crate) fn change_file(&self, change: impl FnOnce(&mut SiteFile)) -> bool {
        let before = self.site.get_untracked();
        let mut file = before.file().clone();
        change(&mut file);
        match before.changed(file) {
            Ok(site) => {
                self.remember();
                self.show_changed(Arc::new(site));
                true
            }
            Err(faults) => {
                self.notice.set(Some(Notice::Words(faults.to_string())));
                false
            }
        }
    }

    /// As [`Store::change_file`], in slices: for changes of the survey, which may be large.
    pub(crate) async fn change_survey(&self, change: impl FnOnce(&mut SiteFile)) -> bool {
        let before = self.site.get_untracked();
        let mut file = before.file().clone();
        change(&mut file);
        let turns = Turns::begin(*self);
        let site = Site::prepare(file, &async |progress| turns.pause(progress).await).await;
        turns.end();
        if !Arc::ptr_eq(&before, &self.site.get_untracked()) {
            let words = "The site was changed meanwhile, and is as you changed it. Take the \
                         points in again.";
            self.notice.set(Some(Notice::Words(words.to_owned())));
            return false;
        }
        match site {
            Ok(site) => {
                self.remember();
                self.show_in_turns(site).await;
                true
            }
            Err(faults) => {
                self.notice.set(Some(Notice::Words(faults.to_string())));
                false
            }
        }
    }

    /// Gives up the long work that is going on; the number of the next.
    pub(crate) fn stop_work(&self) -> u32 {
        self.work.update_value(|work| *work += 1);
        self.work.get_value()
    }

    /// The number of the long work that is going on.
    pub(crate) fn work(&self) -> u32 {
        self.work.get_value()
    }

    /// Shows another site, its contours worked out in a turn of their own.
    async fn show_in_turns(&self, site: Site) {
        let site = Arc::new(site);
        let scene = self.scene_of(&site);
        if site.file().spot_levels.len() > LARGE {
            browser::turn().await;
        }
        self.show_scene(scene, site);
    }

    /// Shows a site of which more than a ride's place has changed.
    fn show_changed(&self, site: Arc<Site>) {
        self.show_scene(self.scene_of(&site), site);
    }

    /// The scene of a site; its contours are those that are drawn, when the ground is.
    fn scene_of(&self, site: &Arc<Site>) -> Scene {
        let drawn = self.scene.get_untracked();
        let units = |site: &Site| site.file().units;
        if site.shares_ground_with(&drawn.site) && units(site) == units(&drawn.site) {
            Scene {
                site: site.clone(),
                ..drawn
            }
        } else {
            Scene::of(site)
        }
    }

    fn show_scene(&self, scene: Scene, site: Arc<Site>) {
        self.scene.set(scene);
        self.show(site);
        let rides = self.assessment.with_untracked(|it| it.rides.len());
        let selected = self.ride.get_untracked().min(rides.saturating_sub(1));
        self.select(selected);
    }

    fn show(&self, site: Arc<Site>) {
        let assessment = timed("assess", "assess:start", || assess(&site));
        self.assessment.set(Arc::new(assessment));
        self.site.set(site);
    }

    /// Looks at another part of the lot.
    pub(crate) fn look_at(&self, window: Window) {
        self.window.set(window);
        self.look.set_value(Look::Own);
    }

    /// Looks at the whole lot, or on a phone, where that would be small, at the ride and what is
    /// near it.
    fn look_first(&self) {
        self.fit_lot();
        if self.size.get_untracked().0 < 600.0 {
            self.go_to_ride();
        }
    }

    /// Takes a new size of the drawing: it shows the lot or the ride as before.
    pub(crate) fn resize(&self, width: f64, height: f64) {
        let first = self.size.get_untracked() == (0.0, 0.0);
        self.size.set((width, height));
        match self.look.get_value() {
            _ if first => self.look_first(),
            Look::Lot => self.fit_lot(),
            Look::Ride => self.go_to_ride(),
            Look::Own => {}
        }
    }

    pub(crate) fn fit_lot(&self) {
        let (width, height) = self.size.get_untracked();
        // The buttons stand at the right edge; on a phone below, where the lot ends anyway.
        let buttons = if width > 600.0 { 44.0 } else { 0.0 };
        let window = self
            .site
            .with_untracked(|site| Window::fit(site, width - buttons, height));
        self.look_at(window.panned(-buttons / 2.0, 0.0));
        self.look.set_value(Look::Lot);
    }

    /// Picks a clearance row, or lets go of it.
    pub(crate) fn pick(&self, key: &RowKey) {
        if self
            .picked
            .with_untracked(|picked| picked.as_ref() == Some(key))
        {
            self.picked.set(None);
            return;
        }
        self.look_at_row(key);
    }

    /// Picks a clearance row, and sees to it that both its places are in view.
    pub(crate) fn look_at_row(&self, key: &RowKey) {
        self.picked.set(Some(key.clone()));
        let (width, height) = self.size.get_untracked();
        let window = self.window.get_untracked();
        let ride = self.ride.get_untracked();
        let places = self.assessment.with_untracked(|assessment| {
            let ride = assessment.rides.get(ride)?;
            let row = ride.clearances.iter().find(|row| RowKey::of(row) == *key)?;
            Some([row.from, row.to])
        });
        let Some([from, to]) = places else { return };
        let in_view = |place| {
            let at = window.to_px(place, width, height);
            let clear = |at: f64, size: f64| at > 20.0 && at < size - 60.0;
            clear(at.x, width) && clear(at.y, height)
        };
        if !(in_view(from) && in_view(to)) {
            let span = (to - from).norm();
            let middle = from + (to - from) / 2.0;
            self.look_at(Window::around(middle, span.max(6.0), width, height));
        }
    }

    /// Looks at a place of the lot and what is round it.
    pub(crate) fn look_round(&self, place: Point) {
        const ROUND: f64 = 8.0;
        let (width, height) = self.size.get_untracked();
        self.look_at(Window::around(place, ROUND, width, height));
    }

    /// Looks at the ride that is worked on, with what is near it.
    pub(crate) fn go_to_ride(&self) {
        let (width, height) = self.size.get_untracked();
        let index = self.ride.get_untracked();
        let circle = self.assessment.with_untracked(|assessment| {
            let ride = assessment.rides.get(index)?;
            Some((ride.placement.hub(), ride.envelope.radius))
        });
        if let Some((hub, radius)) = circle {
            // On a phone the buttons take a strip along the foot.
            let (strip, around) = if width < 600.0 {
                (56.0, 1.4)
            } else {
                (0.0, 1.75)
            };
            let window = Window::around(hub, around * radius, width, height - strip);
            self.look_at(window.panned(0.0, -strip / 2.0));
            self.look.set_value(Look::Ride);
        }
    }
}

impl Scene {
    fn of(site: &Arc<Site>) -> Scene {
        Scene {
            terrain: Arc::new(Terrain::of(site)),
            site: site.clone(),
        }
    }
}

/// The demo fair. The samples are read by a test, so the way past the first one is never taken.
fn demo() -> Site {
    SAMPLES
        .iter()
        .find_map(|sample| Site::read(sample.json).ok())
        .unwrap_or_else(|| unreachable!("a test reads every sample"))
}

/// The store of the page that a component belongs to.
pub(crate) fn store() -> Store {
    expect_context::<Store>()
}
