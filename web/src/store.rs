//! The one place that changes state: edit, undo, open, choose units and theme.

mod kept;

pub use kept::{Deleted, Of};

use crate::history::History;
use crate::keep::{self, Trouble};
use crate::places::Place;
use crate::plots::colours::Palette;
use crate::plots::frame;
use crate::plots::map_shape::{MapShape, top_speed};
use crate::plots::view::View;
use crate::show::Units;
use airpath::air_way::compressor::CompressorMap;
use airpath::build::{Build, BuildError, Entry, Turbocharger, shelf};
use airpath::fields::{Field, Part};
use airpath::quantity::{System, Unit};
use airpath::run::Match;
use kept::{Stand, Tab};
use leptos::leptos_dom::helpers::TimeoutHandle;
use leptos::prelude::*;
use std::sync::Arc;
use std::time::Duration;

/// How long typing must rest before an error is shown: half a number is not yet wrong.
const REST: Duration = Duration::from_millis(500);
/// How long after a change the build is kept.
const KEEP: Duration = Duration::from_millis(250);

/// Engine speeds in rev/min, each with what is likely there, low and high.
pub type Span = Vec<(f64, f64, f64)>;

/// What is likely of the build that stands: eight cases in ten.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Likely {
    /// Most power, W.
    pub most_power: Option<(f64, f64)>,
    /// Power, W.
    pub power: Span,
    /// Pressure in the manifold, Pa absolute.
    pub manifold: Span,
    /// Time to boost, s, at the one engine speed that it was worked out for.
    pub time: Span,
}

/// Light or dark.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Theme {
    /// As the device says.
    Auto,
    /// Always light.
    Light,
    /// Always dark.
    Dark,
}

impl Theme {
    /// Its name in storage and in the page's `data-theme`.
    pub const fn name(self) -> &'static str {
        match self {
            Theme::Auto => "auto",
            Theme::Light => "light",
            Theme::Dark => "dark",
        }
    }

    /// The theme of this name.
    pub fn from_name(name: &str) -> Option<Self> {
        [Theme::Auto, Theme::Light, Theme::Dark]
            .into_iter()
            .find(|t| t.name() == name)
    }

    /// The next on the button.
    pub const fn next(self) -> Self {
        match self {
            Theme::Auto => Theme::Light,
            Theme::Light => Theme::Dark,
            Theme::Dark => Theme::Auto,
        }
    }
}

/// A match with what is drawn from it.
pub struct Solved {
    /// The match.
    pub found: Match,
    /// The build that it belongs to.
    pub build: Arc<Build>,
    /// The compressor map.
    pub shape: Arc<MapShape>,
}

/// What is wrong with something that was typed.
#[derive(Clone, Debug, PartialEq)]
pub struct Fault {
    /// The field or curve that was typed into.
    pub key: &'static str,
    /// What the page calls it.
    pub label: &'static str,
    /// What is wrong and what to do, in sentences.
    pub problem: String,
    /// The value, SI, that a press of a button puts in.
    pub suggestion: Option<Entry>,
    /// Shown only once typing rests.
    pub shown: bool,
}

/// How many engine speeds to solve, so that they are round numbers where idle and redline are.
pub fn speeds(build: &Build) -> usize {
    let unit = airpath::quantity::Kind::EngineSpeed.metric();
    let span = unit.from_si(build.get(Field::Redline)) - unit.from_si(build.get(Field::IdleSpeed));
    let round = |step: f64| {
        let count = span / step;
        ((count - count.round()).abs() < 1e-6).then(|| count.round() as usize + 1)
    };
    [50.0, 100.0]
        .into_iter()
        .filter_map(round)
        .find(|count| (60..=160).contains(count))
        .unwrap_or(airpath::run::SPEEDS)
}

/// The map that was drawn last, so that it is not traced again for every key.
struct Traced {
    map: CompressorMap,
    top: f64,
    shape: Arc<MapShape>,
}

/// How the reader looks at the plots.
#[derive(Clone, Copy)]
pub struct Seen {
    /// What is in view of the map.
    pub map: RwSignal<View>,
    /// What is in view of the traces.
    pub traces: RwSignal<View>,
    /// The spot of the map that is read: corrected flow in kg/s, pressure ratio.
    pub spot: RwSignal<Option<(f64, f64)>>,
}

/// All state. Copied freely: it holds only handles.
#[derive(Clone, Copy)]
pub struct Store {
    /// The build that stands.
    pub build: RwSignal<Arc<Build>>,
    /// Whose it is.
    pub of: RwSignal<Of>,
    /// Rises when something among the builds kept here has changed.
    pub kept: RwSignal<u32>,
    /// The build that was deleted last.
    pub deleted: RwSignal<Option<Deleted>>,
    /// Whether the link to the build that stands is shown.
    pub sharing: RwSignal<bool>,
    /// The last answer; `None` only before the first.
    pub solved: RwSignal<Option<Arc<Solved>>>,
    /// The shared engine speed, rev/min.
    pub engine_speed: RwSignal<f64>,
    /// Which of the match's speeds that is.
    pub cursor: Memo<usize>,
    /// Units for results and for what was not entered.
    pub system: RwSignal<System>,
    /// The units that follow from that and from how the goal was typed.
    pub units: Memo<Units>,
    /// Light or dark.
    pub theme: RwSignal<Theme>,
    /// The theme's colours.
    pub palette: RwSignal<Palette>,
    /// What is wrong with what was typed.
    pub faults: RwSignal<Vec<Fault>>,
    /// Why the build that stands has no answer.
    pub unsolvable: RwSignal<Option<String>>,
    /// Something to tell once: storage, a file that cannot be read.
    pub notice: RwSignal<Option<String>>,
    /// The part whose fields are open.
    pub part: RwSignal<Option<Part>>,
    /// Where the reader is.
    pub place: RwSignal<Place>,
    /// A field that is to come into view and take the keyboard.
    pub wanted: RwSignal<Option<Field>>,
    /// The steps of the working that is open, from the first opened to the one that is read; an
    /// empty list is the list of all numbers.
    pub working: RwSignal<Option<Vec<String>>>,
    /// What is in view of the plots, and the spot of the map that is read.
    pub seen: Seen,
    /// Whether there is something to undo, and to redo.
    pub can: RwSignal<(bool, bool)>,
    /// Rises when inputs must show the build again, whatever is typed in them.
    pub revision: RwSignal<u32>,
    /// The turbochargers to choose from.
    pub shelf: RwSignal<Vec<Arc<Turbocharger>>>,
    /// What is likely, once it was asked for.
    pub likely: RwSignal<Option<Arc<Likely>>>,
    /// Rises when one of the person's own turbochargers changes.
    pub owned: RwSignal<u32>,
    history: StoredValue<History<Stand>>,
    tab: StoredValue<Tab>,
    /// What reads and writes links, once one was opened.
    links: StoredValue<Option<crate::later::Links>>,
    traced: StoredValue<Option<Traced>>,
    keeping: StoredValue<Option<TimeoutHandle>>,
    resting: StoredValue<Option<TimeoutHandle>>,
    trouble: StoredValue<Option<Trouble>>,
}

impl Store {
    /// The state that the page opens with: the build kept last, else the example. `None` only if
    /// the example that ships with the page were broken.
    pub fn open() -> Option<Self> {
        let (build, of, tab, notice) = kept::first(&airpath::example_build()?);
        let solved: RwSignal<Option<Arc<Solved>>> = RwSignal::new(None);
        let engine_speed = RwSignal::new(0.0);
        let cursor = Memo::new(move |_| {
            let rev_min = engine_speed.get();
            solved.with(|s| {
                s.as_ref()
                    .and_then(|s| crate::cursor::nearest(&s.found, rev_min))
                    .unwrap_or(0)
            })
        });
        let system = RwSignal::new(keep::system().unwrap_or(System::Metric));
        let units = Memo::new(move |_| {
            let system = system.get();
            solved.with(|s| {
                s.as_ref()
                    .map_or(Units::new(system), |s| Units::of(&s.build, system))
            })
        });
        let store = Self {
            build: RwSignal::new(build),
            of: RwSignal::new(of),
            kept: RwSignal::new(0),
            deleted: RwSignal::new(None),
            sharing: RwSignal::new(false),
            solved,
            engine_speed,
            cursor,
            system,
            units,
            theme: RwSignal::new(keep::theme().unwrap_or(Theme::Auto)),
            palette: RwSignal::new(Palette::default()),
            faults: RwSignal::new(Vec::new()),
            unsolvable: RwSignal::new(None),
            notice: RwSignal::new(notice),
            part: RwSignal::new(None),
            working: RwSignal::new(None),
            wanted: RwSignal::new(None),
            place: RwSignal::new(Place::Match),
            seen: Seen {
                map: RwSignal::new(View::default()),
                traces: RwSignal::new(View::default()),
                spot: RwSignal::new(None),
            },
            can: RwSignal::new((false, false)),
            revision: RwSignal::new(0),
            shelf: RwSignal::new(shelf().into_iter().map(Arc::new).collect()),
            likely: RwSignal::new(None),
            owned: RwSignal::new(0),
            history: StoredValue::new(History::default()),
            tab: StoredValue::new(tab),
            links: StoredValue::new(None),
            traced: StoredValue::new(None),
            keeping: StoredValue::new(None),
            resting: StoredValue::new(None),
            trouble: StoredValue::new(None),
        };
        Some(store)
    }

    /// Works the match out for the first time.
    pub fn begin(self) {
        self.solve();
        self.place_cursor();
    }

    /// Puts the cursor three quarters of the way up, where boost is held and every part works.
    fn place_cursor(self) {
        self.solved.with_untracked(|solved| {
            let Some(solved) = solved else { return };
            let speeds = &solved.found.speeds;
            let share = 0.75 * speeds.len().saturating_sub(1) as f64;
            if let Some(report) = speeds.get(share as usize) {
                self.engine_speed.set(report.engine_speed_rev_min);
            }
        });
    }

    fn solve(self) {
        let build = self.build.get_untracked();
        let began = frame::now();
        let found = airpath::solve_at(&build, speeds(&build));
        frame::measure("airpath: solve", began, frame::now());
        match found {
            Ok(found) => {
                let shape = self.shape(&build, &found);
                self.unsolvable.set(None);
                self.solved.set(Some(Arc::new(Solved {
                    found,
                    build,
                    shape,
                })));
            }
            Err(error) => self.unsolvable.set(Some(error.to_string())),
        }
    }

    /// The map's lines, traced again only when the map or its largest speed has changed.
    pub fn shape(self, build: &Build, found: &Match) -> Arc<MapShape> {
        let Ok(map) = airpath::compressor_map(build) else {
            return Arc::default();
        };
        let top = top_speed(found);
        let same = self.traced.with_value(|traced| {
            let traced = traced.as_ref()?;
            let near = (traced.top - top).abs() <= 2e-3 * top || traced.top == top;
            (traced.map == map && near).then(|| traced.shape.clone())
        });
        same.unwrap_or_else(|| {
            let began = frame::now();
            let shape = Arc::new(MapShape::trace(&map, top));
            frame::measure("airpath: trace map", began, frame::now());
            self.traced.set_value(Some(Traced {
                map,
                top,
                shape: shape.clone(),
            }));
            shape
        })
    }

    /// Reads the map of the last answer.
    pub fn with_map<T>(self, read: impl FnOnce(&CompressorMap) -> T) -> Option<T> {
        self.traced
            .with_value(|traced| traced.as_ref().map(|traced| read(&traced.map)))
    }

    /// Takes an edit: a new build stands and is solved, or what is wrong is kept beside the field.
    pub fn edit(self, key: &'static str, label: &'static str, edited: Result<Build, BuildError>) {
        match edited {
            Ok(build) => {
                self.mend(key);
                let before = Arc::new(self.standing());
                if *before.build == build {
                    return;
                }
                self.history.update_value(|h| h.edit(before, key));
                self.stand(Arc::new(build));
            }
            Err(error) => self.fault(key, label, error),
        }
    }

    /// A build stands: solve it, and keep it soon.
    fn stand(self, build: Arc<Build>) {
        frame::input_came(frame::now());
        self.build.set(build);
        self.can.set(self.history.with_value(History::can));
        self.solve();
        self.keep_soon();
    }

    fn fault(self, key: &'static str, label: &'static str, error: BuildError) {
        let (problem, suggestion) = match error {
            BuildError::Fields(mut errors) if errors.len() == 1 => {
                let error = errors.remove(0);
                // Two fields may not agree; the message then names the other one.
                if error.id == key {
                    (error.problem, error.suggestion)
                } else {
                    (format!("{}: {}", error.label, error.problem), None)
                }
            }
            other => (other.to_string(), None),
        };
        self.faults.update(|faults| {
            let was_shown = faults.iter().any(|f| f.key == key && f.shown);
            faults.retain(|f| f.key != key);
            faults.push(Fault {
                key,
                label,
                problem,
                suggestion,
                shown: was_shown,
            });
        });
        self.resting.update_value(|resting| {
            if let Some(timer) = resting.take() {
                timer.clear();
            }
            *resting = set_timeout_with_handle(move || self.show_faults(), REST).ok();
        });
    }

    /// A fault that the page found before there was a build to try (a curve's cell).
    pub fn fault_in_words(self, key: &'static str, label: &'static str, problem: String) {
        let error = airpath::build::FieldError {
            id: key,
            label,
            typed: String::new(),
            problem,
            suggestion: None,
        };
        self.fault(key, label, BuildError::Fields(vec![error]));
    }

    /// Shows every fault: typing rests.
    pub fn show_faults(self) {
        if self.faults.with_untracked(|f| f.iter().any(|f| !f.shown)) {
            self.faults
                .update(|faults| faults.iter_mut().for_each(|f| f.shown = true));
        }
    }

    /// A field is right again.
    pub fn mend(self, key: &'static str) {
        if self
            .faults
            .with_untracked(|f| f.iter().any(|f| f.key == key))
        {
            self.faults.update(|faults| faults.retain(|f| f.key != key));
        }
    }

    /// Focus has left a field: its edit is complete, and what is wrong is shown at once.
    pub fn left_field(self) {
        self.history.update_value(History::pause);
        self.show_faults();
    }

    /// What a person typed into a field, in `unit` unless the text names one.
    pub fn type_into(self, field: Field, text: &str, unit: &'static Unit) {
        let edited = self.build.with_untracked(|b| {
            let edited = b.with_text(field, text, unit)?;
            // "6.5k" is short for 6500, and no unit that anybody goes on in.
            let plain = field.spec().unit();
            match edited.entry(field) {
                Some(entry) if entry.unit.symbol.starts_with("k ") => edited.with(
                    field,
                    Some(Entry {
                        si: entry.si,
                        unit: plain,
                    }),
                ),
                _ => Ok(edited),
            }
        });
        self.edit(field.spec().id, field.spec().label, edited);
    }

    /// Takes back the last edit. Where something wrong is typed, that is the last edit.
    pub fn undo(self) {
        if self.faults.with_untracked(Vec::is_empty) {
            let now = Arc::new(self.standing());
            let mut before = None;
            self.history.update_value(|h| before = h.undo(now));
            if let Some(stand) = before {
                self.stand_as(Arc::unwrap_or_clone(stand));
            }
        }
        self.settle_inputs();
    }

    /// Does again what was taken back.
    pub fn redo(self) {
        let now = Arc::new(self.standing());
        let mut after = None;
        self.history.update_value(|h| after = h.redo(now));
        if let Some(stand) = after {
            self.stand_as(Arc::unwrap_or_clone(stand));
            self.settle_inputs();
        }
    }

    /// Inputs show the build again, and nothing is wrong any more.
    pub fn settle_inputs(self) {
        self.faults.set(Vec::new());
        self.revision.update(|r| *r += 1);
    }

    /// Moves the shared engine speed.
    pub fn move_cursor(self, rev_min: f64) {
        if self.engine_speed.get_untracked() != rev_min {
            frame::input_came(frame::now());
            self.engine_speed.set(rev_min);
        }
    }

    /// Goes to a place.
    pub fn go(self, place: Place) {
        self.part.set(None);
        self.working.set(None);
        self.place.set(place);
        window().scroll_to_with_x_and_y(0.0, 0.0);
    }

    /// Opens a field to be changed, wherever it stands.
    pub fn change(self, field: Field) {
        self.working.set(None);
        self.wanted.set(Some(field));
        self.part.set(Some(field.spec().part));
    }

    /// Opens the working of a number: a step's key, at an engine speed in rev/min. An empty key is
    /// the list of all numbers.
    pub fn open_working(self, key: &str, at: Option<f64>) {
        if let Some(rev_min) = at {
            self.move_cursor(rev_min);
        }
        self.part.set(None);
        let key = (!key.is_empty()).then(|| key.to_owned());
        self.working.set(Some(key.into_iter().collect()));
    }

    /// Chooses units for results.
    pub fn choose_system(self, system: System) {
        self.system.set(system);
        self.told(keep::keep_system(system));
    }

    /// Chooses light or dark.
    pub fn choose_theme(self, theme: Theme) {
        self.theme.set(theme);
        self.told(keep::keep_theme(theme));
    }

    fn keep_soon(self) {
        self.keeping.update_value(|keeping| {
            if let Some(timer) = keeping.take() {
                timer.clear();
            }
            *keeping = set_timeout_with_handle(move || self.keep_now(), KEEP).ok();
        });
    }

    /// Keeps the build at once.
    pub fn keep_now(self) {
        self.keeping.update_value(|keeping| {
            if let Some(timer) = keeping.take() {
                timer.clear();
            }
        });
        self.keep_standing();
    }

    /// Why something that was entered would be lost if the page were loaded again now, if it would.
    pub fn would_be_lost(self) -> Option<String> {
        self.show_faults();
        self.keep_now();
        let labels: Vec<&str> = self
            .faults
            .with_untracked(|faults| faults.iter().map(|fault| fault.label).collect());
        if labels.is_empty() {
            let trouble = self.trouble.get_value();
            return trouble.map(|trouble| trouble.told().to_owned());
        }
        Some(format!(
            "What is typed in “{}” would be lost: mend it first.",
            labels.join("”, “")
        ))
    }

    /// Says once that nothing can be kept, and no longer once it can.
    pub fn told(self, kept: Result<(), Trouble>) {
        let before = self.trouble.get_value();
        self.trouble.set_value(kept.err());
        match kept {
            Err(trouble) if before != Some(trouble) => {
                self.notice.set(Some(trouble.told().to_owned()));
            }
            Ok(()) if before.is_some() => self.notice.set(None),
            _ => {}
        }
    }

    /// What makes the answer stale, if anything: the labels of the fields that need mending.
    pub fn stale(self) -> Option<String> {
        let labels: Vec<&str> = self
            .faults
            .with(|f| f.iter().filter(|f| f.shown).map(|f| f.label).collect());
        match (labels.as_slice(), self.unsolvable.get()) {
            ([], None) => None,
            ([], Some(problem)) => Some(format!("Last good answer: {problem}")),
            ([one], _) => Some(format!("Last good answer: “{one}” needs mending")),
            (many, _) => Some(format!(
                "Last good answer: “{}” need mending",
                many.join("”, “")
            )),
        }
    }
}

/// The store of this page.
pub fn use_store() -> Store {
    expect_context::<Store>()
}
