//! As built: what the crew reads on the frame, what to do about it, and what moved since.

use std::time::Duration;

use leptos::prelude::*;
use tober::assess::Verdict;
use tober::level::{
    Corrected, Correction, LevelRound, Mark, Piece, Reading, Settling, Way, correct, settling,
};
use tober::units::{LengthStyle, Slope, SlopeForm, parse_length};

use crate::browser;
use crate::level::{hashed, number, tick};
use crate::parts::badge;
use crate::stack;
use crate::state::{Store, store};
use crate::words;

/// How long the hand must rest before corrections are looked for.
const REST: Duration = Duration::from_millis(300);

/// Metres in a foot, exactly.
const FOOT: f64 = 0.3048;

#[component]
pub(super) fn Readings() -> impl IntoView {
    let store = store();
    let outcome = settled(store, outcome);
    view! {
        <h3>"What the level shows"</h3>
        <p class="hint">
            "Put a level on the frame, wait until it rests, and write down what it shows. Say which \
             end or side is high."
        </p>
        <Entry/>
        <div role="status" id="outcome">
            {move || outcome.get().map(|outcome| told(&outcome, store))}
        </div>
        <Rounds/>
    }
}

/// What the kept rounds come to.
#[derive(Clone, Debug, PartialEq)]
struct Outcome {
    /// From the last round; `None` while that does not tell both tilts.
    correction: Option<Correction>,
    /// Number of each corrected foot in the drawing.
    numbers: Vec<Option<usize>>,
    /// What the ticks of the correction begin with: another round, or another correction, has
    /// other ticks.
    ticks: String,
    since_last: Option<Settling>,
    since_first: Option<Settling>,
}

/// What `work` comes to, worked out again when the hand rests after a change.
fn settled<T: Clone + Send + Sync + 'static>(
    store: Store,
    work: fn(&Store) -> Option<T>,
) -> RwSignal<Option<T>> {
    let result = RwSignal::new(untrack(|| work(&store)));
    let pending: StoredValue<Option<TimeoutHandle>> = StoredValue::new(None);
    let cancel = move || {
        if let Some(handle) = pending.try_update_value(Option::take).flatten() {
            handle.clear();
        }
    };
    Effect::new(move |before: Option<()>| {
        store.site.track();
        store.ride.track();
        if before.is_some() {
            cancel();
            let look = move || result.set(untrack(|| work(&store)));
            pending.set_value(set_timeout_with_handle(look, REST).ok());
        }
    });
    on_cleanup(cancel);
    result
}

/// The rounds of the ride that is worked on, each with its place in the site's list.
fn rounds(store: &Store) -> Vec<(usize, LevelRound)> {
    let ride = store.with_ride(|ride, _| ride.id.clone());
    store.site.with(|site| {
        let rounds = site.file().level_rounds.iter().cloned().enumerate();
        rounds
            .filter(|(_, round)| Some(&round.ride) == ride.as_ref())
            .collect()
    })
}

fn outcome(store: &Store) -> Option<Outcome> {
    let rounds: Vec<LevelRound> = rounds(store).into_iter().map(|(_, round)| round).collect();
    let last = rounds.last()?;
    let index = store.ride.get();
    store.site.with(|site| {
        let profile = site.profile(index)?;
        store.with_ride(|ride, _| {
            let blocks = &site.file().blocks;
            let correction = correct(profile, &ride.level, blocks, &last.readings);
            let acts = correction.iter().flat_map(|it| &it.acts);
            let two = rounds.len().saturating_sub(2);
            let told = format!("{correction:?}");
            let (ride_id, time) = (&ride.id, last.unix_seconds);
            Outcome {
                ticks: format!("{ride_id}/{time}/{:x}/", hashed(&told)),
                numbers: acts.map(|act| number(&ride.level, &act.support)).collect(),
                since_last: settling(profile, &ride.id, rounds.get(two..).unwrap_or_default()),
                since_first: settling(profile, &ride.id, &rounds),
                correction,
            }
        })
    })
}

/// What can be typed for one direction.
#[derive(Clone, Copy)]
struct Direction {
    id: &'static str,
    label: &'static str,
    ends: [&'static str; 2],
    typed: RwSignal<String>,
    /// Whether the first of the ends is high.
    first_high: RwSignal<bool>,
}

impl Direction {
    fn new(id: &'static str, label: &'static str, ends: [&'static str; 2]) -> Direction {
        Direction {
            id,
            label,
            ends,
            typed: RwSignal::new(String::new()),
            first_high: RwSignal::new(true),
        }
    }

    /// `None` when nothing is typed.
    fn slope(&self, form: SlopeForm) -> Result<Option<Slope>, String> {
        let typed = self.typed.get_untracked();
        let typed = typed.trim();
        if typed.is_empty() {
            return Ok(None);
        }
        let number = slope_number(typed, form).ok_or_else(|| {
            format!(
                "{}: “{typed}” is not a reading. Write a number such as 0.35{}.",
                self.label,
                if form == SlopeForm::InPerFt {
                    ", or 1/8"
                } else {
                    ""
                }
            )
        })?;
        let high = self.first_high.get_untracked();
        Ok(Some(form.of(if high { number } else { -number })))
    }
}

/// A number of degrees, per cent, millimetres; inches may be fractions.
fn slope_number(typed: &str, form: SlopeForm) -> Option<f64> {
    let bare = typed.trim_end_matches(form.label()).trim();
    let number = bare.replace(',', ".").replace('−', "-").parse::<f64>();
    match number {
        Ok(number) if number.is_finite() => Some(number),
        Err(_) if form == SlopeForm::InPerFt => {
            let metres = parse_length(&format!("{bare} in"), LengthStyle::Metres).ok()?;
            Some(Slope::from_ratio(metres / FOOT, form).number())
        }
        _ => None,
    }
}

/// Writing down one station, or rods on the corners.
#[component]
fn Entry() -> impl IntoView {
    let store = store();
    let station = RwSignal::new("hub".to_owned());
    let form = RwSignal::new(SlopeForm::Deg);
    let along = Direction::new("along", "Along", ["tongue end high", "back end high"]);
    let across = Direction::new("across", "Across", ["left side high", "right side high"]);
    let rods: RwSignal<Vec<(String, String)>> = RwSignal::new(Vec::new());
    let error = RwSignal::new(None::<String>);
    let feet = Memo::new(move |_| feet(&store));
    let any_round = move || !rounds(&store).is_empty();
    let keep = move |new_round: bool| {
        let read = read(
            &store,
            &station,
            form.get_untracked(),
            [along, across],
            &rods,
        );
        let done = read.and_then(|readings| {
            keep_readings(&store, readings, new_round)
                .then_some(())
                .ok_or_else(|| "It was not kept: see above.".to_owned())
        });
        match done {
            Ok(()) => {
                error.set(None);
                along.typed.set(String::new());
                across.typed.set(String::new());
                rods.set(Vec::new());
            }
            Err(words) => error.set(Some(words)),
        }
    };
    let rod_fields = move || {
        feet.get()
            .into_iter()
            .map(|id| {
                let (shown, typed) = (id.clone(), id.clone());
                let value = move || rods.with(|rods| rod_of(rods, &shown));
                view! {
                    <label class="rod">
                        <span>{id}</span>
                        <input type="text" autocomplete="off" prop:value=value
                            on:input=move |event| {
                                let value = event_target_value(&event);
                                rods.update(|rods| {
                                    rods.retain(|(id, _)| *id != typed);
                                    rods.push((typed.clone(), value));
                                });
                            }/>
                    </label>
                }
            })
            .collect_view()
    };
    view! {
        <div class="entry">
            <div class="field">
                <label for="station">"Where the level lies"</label>
                <input id="station" type="text" autocomplete="off" maxlength="60"
                    prop:value=move || station.get()
                    on:input=move |event| station.set(event_target_value(&event))/>
            </div>
            <label class="field pick-form">
                <span>"It shows"</span>
                <select id="slope-form" on:change=move |event| {
                    let label = event_target_value(&event);
                    let picked = SlopeForm::ALL.into_iter().find(|it| it.label() == label);
                    form.set(picked.unwrap_or(SlopeForm::Deg));
                }>
                    {SlopeForm::ALL
                        .map(|it| view! {
                            <option value=it.label()>{slope_words(it)}</option>
                        })
                        .into_iter()
                        .collect_view()}
                </select>
            </label>
            {direction(along)}
            {direction(across)}
            <details class="rods">
                <summary>"Or rod readings on the corners"</summary>
                <p class="hint">
                    "Hold the rod on the frame above each foot and read it from one set-up. Three \
                     corners at least. A bigger reading is a lower corner."
                </p>
                <div class="rod-fields">{rod_fields}</div>
            </details>
            <p class="field-error" role="alert" id="entry-error">{move || error.get()}</p>
            <button type="button" class="button now-done" id="keep" on:click=move |_| keep(true)>
                "Keep this reading"
            </button>
            <Show when=any_round>
                <button type="button" class="button" id="keep-more" on:click=move |_| keep(false)>
                    "Add as another place of the last round"
                </button>
            </Show>
        </div>
    }
}

fn direction(it: Direction) -> impl IntoView {
    let [first, other] = it.ends;
    view! {
        <div class="field">
            <label for=it.id>{it.label}</label>
            <input id=it.id type="text" autocomplete="off" enterkeyhint="next"
                prop:value=move || it.typed.get()
                on:input=move |event| it.typed.set(event_target_value(&event))/>
        </div>
        <label class="field">
            <span class="spoken-label">{format!("{}: which is high", it.label)}</span>
            <select id=format!("{}-high", it.id)
                on:change=move |event| it.first_high.set(event_target_value(&event) == first)>
                <option value=first>{first}</option>
                <option value=other>{other}</option>
            </select>
        </label>
    }
}

fn slope_words(form: SlopeForm) -> &'static str {
    match form {
        SlopeForm::Deg => "degrees",
        SlopeForm::PerCent => "per cent",
        SlopeForm::MmPerM => "mm in a metre",
        SlopeForm::InPerFt => "inches in a foot",
    }
}

/// The feet that carry at work.
fn feet(store: &Store) -> Vec<String> {
    let feet = store.with_ride(|ride, _| {
        let plan = &ride.level;
        if plan.outriggers.is_empty() {
            plan.jacks.iter().map(|it| it.id.clone()).collect()
        } else {
            plan.outriggers.iter().map(|it| it.id.clone()).collect()
        }
    });
    feet.unwrap_or_default()
}

fn rod_of(rods: &[(String, String)], id: &str) -> String {
    let typed = rods.iter().find(|(own, _)| own == id);
    typed.map(|(_, typed)| typed.clone()).unwrap_or_default()
}

/// What is typed, as readings; or what would have worked.
fn read(
    store: &Store,
    station: &RwSignal<String>,
    form: SlopeForm,
    [along, across]: [Direction; 2],
    rods: &RwSignal<Vec<(String, String)>>,
) -> Result<Vec<Reading>, String> {
    let station = station.get_untracked().trim().to_owned();
    let marks = [
        along.slope(form)?.map(Mark::Along),
        across.slope(form)?.map(Mark::Across),
    ];
    let mut readings: Vec<Reading> = marks
        .into_iter()
        .flatten()
        .map(|mark| Reading {
            station: station.clone(),
            mark,
        })
        .collect();
    if station.is_empty() && !readings.is_empty() {
        return Err("Say where the level lies, such as “hub” or “rear beam”.".to_owned());
    }
    for (id, typed) in rods.get_untracked() {
        if typed.trim().is_empty() {
            continue;
        }
        let metres = parse_length(&typed, store.style());
        let metres = metres.map_err(|error| format!("{id}: {error}"))?;
        readings.push(Reading {
            station: id,
            mark: Mark::Rod(metres),
        });
    }
    if readings.is_empty() {
        return Err("Write what the level shows along and across.".to_owned());
    }
    Ok(readings)
}

/// Keeps readings in the site; `false` when the site does not take them.
fn keep_readings(store: &Store, readings: Vec<Reading>, new_round: bool) -> bool {
    let last = rounds(store).last().map(|(index, _)| *index);
    let Some(ride) = store.with_ride(|ride, _| ride.id.clone()) else {
        return false;
    };
    store.change_file(|file| {
        let last = last.and_then(|last| file.level_rounds.get_mut(last));
        match last {
            Some(round) if !new_round => round.readings.extend(readings),
            _ => file.level_rounds.push(LevelRound {
                ride,
                unix_seconds: browser::unix_seconds(),
                readings,
            }),
        }
    })
}

fn told(outcome: &Outcome, store: Store) -> impl IntoView + use<> {
    let style = store.style();
    let correction = match &outcome.correction {
        None => view! {
            <p class="hint">
                "The last round does not tell both ways yet: read along and across, or a rod on \
                 three corners."
            </p>
        }
        .into_any(),
        Some(it) => corrected(it, outcome, store).into_any(),
    };
    let moved = outcome.since_last.as_ref().map(|it| moved(it, style));
    let foretold = outcome.since_first.as_ref().map(foretold);
    view! {
        {correction}
        {moved.map(|words| view! { <p id="moved"><strong>"Since the round before: "</strong>{words}</p> })}
        {foretold.map(|words| view! { <p id="foretold"><strong>"If it goes on: "</strong>{words}</p> })}
    }
}

fn corrected(found: &Correction, outcome: &Outcome, store: Store) -> impl IntoView + use<> {
    let style = store.style();
    let what = match (found.before.verdict, found.acts.is_empty()) {
        (Verdict::Pass, _) => Some("Level enough: leave it as it is."),
        (_, true) => Some(
            "No few turns or shims that are left on the truck would do: level it anew from the \
             first act.",
        ),
        (_, false) => None,
    };
    let acts = found
        .acts
        .iter()
        .zip(&outcome.numbers)
        .enumerate()
        .map(|(index, (act, number))| {
            let key = format!("{}{index}", outcome.ticks);
            let words = correction_words(act, style);
            tick(store, key, *number, act.support.clone(), words)
        })
        .collect_view();
    let after = (!found.acts.is_empty()).then(|| {
        view! {
            <p>{badge(found.after.verdict)} " Then: " {words::lean(&found.after)}</p>
        }
    });
    view! {
        <section class="fix" id="fix" aria-label="What to do about it">
            <p>{badge(found.before.verdict)} " As read: " {words::lean(&found.before)}</p>
            {what.map(|words| view! { <p><strong>{words}</strong></p> })}
            <ol class="acts">{acts}</ol>
            {after}
        </section>
    }
}

/// What one person does at one foot.
fn correction_words(act: &Corrected, style: LengthStyle) -> String {
    let by = style.format(act.raise.abs());
    match act.way {
        Some(Way::Out) => format!("wind out {}, up {by}", words::turns_long(act.turns)),
        Some(Way::In) => format!("wind in {}, down {by}", words::turns_long(act.turns)),
        None => {
            let listed = |pieces: &[Piece]| stack::counted(pieces).join(" and ");
            let out =
                (!act.removed.is_empty()).then(|| format!("take out {}", listed(&act.removed)));
            let put = (!act.pieces.is_empty()).then(|| format!("slide in {}", listed(&act.pieces)));
            let what: Vec<String> = out.into_iter().chain(put).collect();
            let way = if act.raise < 0.0 { "down" } else { "up" };
            format!(
                "{} under the foot, {way} {by}, while the jacks carry",
                what.join(", ")
            )
        }
    }
}

/// What moved between two rounds.
fn moved(found: &Settling, style: LengthStyle) -> String {
    let hours = hours(found.hours);
    let most = found.sinking.as_ref().and_then(|sinking| {
        let (_, by) = found.sunk.iter().find(|(id, _)| id == sinking)?;
        Some((sinking, by, found.sinking_per_hour?))
    });
    match most {
        None => format!("in {hours} nothing moved that a level shows."),
        Some((id, by, each_hour)) => format!(
            "{id} sank {} against the foot that held best, in {hours}: {} an hour.",
            style.format_up(*by),
            style.format_up(each_hour)
        ),
    }
}

/// When a tolerance is reached.
fn foretold(found: &Settling) -> String {
    match &found.forecast {
        Some(it) => format!(
            "the tilt {} reaches what is allowed about {} after the last round; nineteen times in \
             twenty between {} and {}.",
            if it.along { "along" } else { "across" },
            hours(it.likely_hours),
            hours(it.earliest_hours),
            hours(it.latest_hours)
        ),
        None if found.rounds < 3 => {
            "two rounds tell a movement, not how it goes on. Read a third.".to_owned()
        }
        None => "no steady movement that anything could be foretold from.".to_owned(),
    }
}

fn hours(hours: f64) -> String {
    if hours < 1.0 {
        format!("{:.0} min", hours * 60.0)
    } else if hours < 48.0 {
        format!("{hours:.1} h")
    } else {
        format!("{:.0} days", hours / 24.0)
    }
}

/// What was read before, each round with a way to take it out again.
#[component]
fn Rounds() -> impl IntoView {
    let store = store();
    let kept = Memo::new(move |_| rounds(&store));
    let any = move || kept.with(|it| !it.is_empty());
    let listed = move || {
        let style = store.style();
        kept.with(|rounds| {
            rounds
                .iter()
                .rev()
                .map(|(index, round)| {
                    let index = *index;
                    let time = browser::local_time(round.unix_seconds);
                    let marks: Vec<String> =
                        round.readings.iter().map(|it| mark(it, style)).collect();
                    view! {
                        <li>
                            <span><strong>{time.clone()}</strong> " " {marks.join("; ")}</span>
                            <button type="button" class="button"
                                aria-label=format!("Remove the round of {time}")
                                on:click=move |_| remove(&store, index)>"Remove"</button>
                        </li>
                    }
                })
                .collect_view()
        })
    };
    view! {
        <Show when=any>
            <details class="rounds" id="rounds">
                <summary>{move || match kept.with(Vec::len) {
                    1 => "1 round is kept in the site file".to_owned(),
                    count => format!("{count} rounds are kept in the site file"),
                }}</summary>
                <ul>{listed}</ul>
            </details>
        </Show>
    }
}

fn remove(store: &Store, round: usize) {
    store.change_file(|file| {
        if round < file.level_rounds.len() {
            file.level_rounds.remove(round);
        }
    });
}

fn mark(reading: &Reading, style: LengthStyle) -> String {
    let station = &reading.station;
    let slope = |slope: Slope, ends: [&str; 2]| {
        let [first, other] = ends;
        let high = if slope.number() < 0.0 { other } else { first };
        let space = if slope.form() == SlopeForm::Deg {
            ""
        } else {
            " "
        };
        format!(
            "{}{space}{}, {high} high",
            slope.number().abs(),
            slope.form().label()
        )
    };
    match reading.mark {
        Mark::Along(it) => format!("{station} along {}", slope(it, ["tongue", "back"])),
        Mark::Across(it) => format!("{station} across {}", slope(it, ["left", "right"])),
        Mark::Rod(metres) => format!("{station} rod {}", style.format(metres)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn readings_are_understood_as_crews_write_them() {
        assert_eq!(slope_number("0.35°", SlopeForm::Deg), Some(0.35));
        assert_eq!(slope_number("0,4 %", SlopeForm::PerCent), Some(0.4));
        let eighth = slope_number("1/8", SlopeForm::InPerFt).unwrap();
        assert!((eighth - 0.125).abs() < 1e-12);
        assert_eq!(slope_number("a bit", SlopeForm::Deg), None);
        assert_eq!(slope_number("inf", SlopeForm::Deg), None);
    }
}
