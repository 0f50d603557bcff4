//! The lessons: short, with live controls over the core.

mod lessons;
mod picture;

use crate::keep;
use crate::parts::canvas::CanvasPlot;
use crate::parts::shapes::{list, live, perhaps, press, text, whether, words};
use crate::places::Place;
use crate::plots::geometry::Point;
use crate::plots::map::{self, Looking, MapFrame, MapScene};
use crate::plots::pen::Pen;
use crate::plots::view::View;
use crate::show::Units;
use crate::store::{Solved, Store, use_store};
use airpath::working::Working;
use leptos::prelude::*;
use lessons::{
    Base, COUNT, LESSONS, Lesson, Picture, Seen, Settings, Turns, question, readings, verdict,
    written,
};
use std::cell::Cell;
use std::rc::Rc;
use std::sync::Arc;
use wasm_bindgen::JsCast;

thread_local! {
    /// Where the reader left off, for when they come back from the match.
    static LEFT: Cell<Option<(usize, [Settings; COUNT])>> = const { Cell::new(None) };
}

/// What a lesson is compared with.
type Others = Arc<Vec<(f64, Seen)>>;
/// A lesson worked out, and the map of one that shows it.
type Drawn = Arc<(Seen, Option<Solved>)>;

/// The state of the lessons.
#[derive(Clone, Copy)]
struct Learning {
    store: Store,
    base: StoredValue<Option<Arc<Base>>>,
    number: RwSignal<usize>,
    settings: RwSignal<[Settings; COUNT]>,
    /// One bit for each lesson that has been answered.
    answered: RwSignal<u8>,
    others: StoredValue<Option<(usize, Others)>>,
    /// The lesson worked out, and its map where it shows one.
    seen: RwSignal<Option<Drawn>>,
}

impl Learning {
    fn lesson(self) -> &'static Lesson {
        &LESSONS[self.number.get().min(COUNT - 1)]
    }

    fn units(self) -> Units {
        Units::new(self.store.system.get())
    }

    /// What the lesson is compared with; worked out once while it is read.
    fn others(self) -> Others {
        let number = self.number.get_untracked();
        let kept = self.others.with_value(|o| {
            o.as_ref()
                .filter(|(of, _)| *of == number)
                .map(|(_, o)| o.clone())
        });
        kept.unwrap_or_else(|| {
            let base = self.base.get_value();
            let made = Arc::new(base.map_or_else(Vec::new, |b| LESSONS[number].others(&b)));
            self.others.set_value(Some((number, made.clone())));
            made
        })
    }

    /// Works the lesson out for where its controls stand.
    fn work(self) {
        let number = self.number.get_untracked();
        let settings = self.settings.get_untracked();
        LEFT.set(Some((number, settings)));
        let lesson = &LESSONS[number];
        let seen = self
            .base
            .get_value()
            .and_then(|base| lesson.see(&base, &settings[number]));
        let seen = seen.map(|seen| {
            let drawn = (lesson.picture == Picture::Map).then(|| Solved {
                shape: self.store.shape(&seen.build, &seen.found),
                found: seen.found.clone(),
                build: Arc::new(seen.build.clone()),
            });
            Arc::new((seen, drawn))
        });
        if let Some(seen) = &seen {
            let (done, _) = verdict(
                number,
                &settings[number],
                &seen.0,
                &self.others(),
                self.units_now(),
            );
            let before = self.answered.get_untracked();
            let after = before | (u8::from(done) << number);
            if after != before {
                self.answered.set(after);
                self.store.told(keep::keep_lessons(after));
            }
        }
        self.seen.set(seen);
    }

    fn units_now(self) -> Units {
        Units::new(self.store.system.get_untracked())
    }

    fn set(self, place: usize, value: f64) {
        let number = self.number.get_untracked();
        let before = self.settings.with_untracked(|s| s[number][place]);
        if before.to_bits() != value.to_bits() {
            self.settings.update(|s| s[number][place] = value);
            self.work();
        }
    }

    /// The slides stand where the settings are. A slide that was once moved minds no attribute.
    fn show_settings(self) {
        let Some(number) = self.number.try_get_untracked() else {
            return;
        };
        let settings = self.settings.get_untracked()[number];
        for (place, value) in settings.iter().enumerate() {
            if let Some(input) = document().get_element_by_id(&format!("turn-{place}"))
                && let Ok(input) = input.dyn_into::<web_sys::HtmlInputElement>()
            {
                input.set_value(&value.to_string());
            }
        }
    }

    fn go(self, number: usize) {
        self.number.set(number.min(COUNT - 1));
        self.work();
        window().scroll_to_with_x_and_y(0.0, 0.0);
        request_animation_frame(move || {
            self.show_settings();
            if let Some(title) = document().get_element_by_id("lesson-title")
                && let Ok(title) = title.dyn_into::<web_sys::HtmlElement>()
            {
                let _ = title.focus();
            }
        });
    }
}

/// The picture: every signal that it is drawn from.
fn depends() {
    let learning = expect_context::<Learning>();
    learning.seen.track();
    learning.store.system.track();
    learning.store.palette.track();
}

/// A point that was pressed on the map is the engine speed that is read.
fn pick(point: Point, size: (f64, f64)) {
    let Some(learning) = use_context::<Learning>() else {
        return;
    };
    let lesson = &LESSONS[learning.number.get_untracked()];
    let speed = learning.seen.with_untracked(|seen| {
        let solved = seen.as_ref()?.1.as_ref()?;
        let at = MapFrame::of_view(&solved.shape, &solved.found, size, &View::default())
            .nearest(&solved.found, point)?;
        Some(solved.found.speeds[at].engine_speed_rev_min.round())
    });
    let place = lesson.controls.iter().position(|c| c.turns == Turns::Speed);
    if let (Some(speed), Some(place)) = (speed, place) {
        learning.set(place, speed);
        learning.show_settings();
    }
}

fn draw(learning: Learning, pen: &mut Pen) {
    let Some(Some(seen)) = learning.seen.try_get_untracked() else {
        return;
    };
    let number = learning.number.get_untracked();
    let (palette, units) = (learning.store.palette.get_untracked(), learning.units_now());
    if let Some(solved) = &seen.1 {
        let scene = MapScene {
            shape: &solved.shape,
            found: &solved.found,
            cursor: seen.0.at,
            units,
            palette: &palette,
        };
        return map::draw_as_seen(pen, &scene, &Looking::default());
    }
    let scene = picture::Scene {
        picture: LESSONS[number].picture,
        seen: &seen.0,
        others: &learning.others(),
        first: learning.settings.with_untracked(|s| s[number][0]),
        units,
        palette: &palette,
    };
    picture::draw(pen, &scene);
}

/// The list of lessons, answered ones marked.
fn lessons_nav(learning: Learning) -> AnyView {
    let buttons = list(LESSONS.iter().enumerate().map(|(number, lesson)| {
        let done = move || learning.answered.get() >> number & 1 == 1;
        let current = move || (learning.number.get() == number).then_some("true");
        let says = words(move || if done() { "answered" } else { "" }.to_owned());
        view! {
            <li><button type="button" data-lesson=number.to_string() aria-current=current class:done=whether(done)>
                <b>{number + 1}</b> <span>{lesson.name}</span> <i class="unseen">{says}</i>
            </button></li>
        }
        .into_any()
    }));
    let pressed = move |event: web_sys::MouseEvent| {
        let number = event
            .target()
            .and_then(|t| t.dyn_into::<web_sys::Element>().ok())
            .and_then(|t| t.closest("[data-lesson]").ok().flatten())
            .and_then(|b| b.get_attribute("data-lesson"))
            .and_then(|n| n.parse().ok());
        if let Some(number) = number {
            learning.go(number);
        }
    };
    view! { <nav aria-label="Lessons" on:click=pressed><ol class="lessons">{buttons}</ol></nav> }
        .into_any()
}

/// The controls of the lesson that is read.
fn controls(learning: Learning) -> AnyView {
    let lesson = learning.lesson();
    let number = learning.number.get();
    let Some(base) = learning.base.get_value() else {
        return ().into_any();
    };
    list(lesson.controls.iter().enumerate().map(|(place, control)| {
        let base = base.clone();
        let value = words(move || {
            written(&base, control, learning.settings.get()[number][place], learning.units())
        });
        let (low, high, step) = control.range;
        let id = format!("turn-{place}");
        let moved = text(move |typed| {
            if let Ok(typed) = typed.parse() {
                learning.set(place, typed);
            }
        });
        let stands = learning.settings.with_untracked(|s| s[number][place]);
        view! {
            <div class="turner">
                <label for=id.clone()>{control.label}</label> <output for=id.clone()>{value}</output>
                <input type="range" id=id min=low.to_string() max=high.to_string() step=step.to_string()
                    value=stands.to_string() aria-valuetext=value on:input=moved/>
            </div>
        }
        .into_any()
    }))
}

/// The formula of the lesson with its values.
fn formula(learning: Learning) -> Option<AnyView> {
    let lesson = learning.lesson();
    let seen = learning.seen.get()?;
    let working = Working::at(&seen.0.build, &seen.0.found, seen.0.report()).ok()?;
    let step = working.step(lesson.step)?;
    let (symbols, values) = working.mathml(step)?;
    Some(
        view! {
            <p class="quiet">{step.name}</p>
            <div inner_html=symbols></div>
            <div inner_html=values></div>
        }
        .into_any(),
    )
}

/// The lessons.
#[component]
pub fn Learn() -> AnyView {
    let store = use_store();
    let answered = keep::lessons();
    let (number, settings) = LEFT.get().unwrap_or_else(|| {
        let open = (0..COUNT).find(|n| answered >> n & 1 == 0).unwrap_or(0);
        let mut settings = [[0.0; 3]; COUNT];
        for (place, lesson) in LESSONS.iter().enumerate() {
            settings[place] = lesson.start();
        }
        (open, settings)
    });
    let base = airpath::example_build().map(|example| {
        // The lessons compare the few at its front.
        let shelf = airpath::build::shelf().into_iter().map(Arc::new).collect();
        Arc::new(Base { example, shelf })
    });
    let learning = Learning {
        store,
        base: StoredValue::new(base),
        number: RwSignal::new(number),
        settings: RwSignal::new(settings),
        answered: RwSignal::new(answered),
        others: StoredValue::new(None),
        seen: RwSignal::new(None),
    };
    provide_context(learning);
    learning.work();

    let facts = Memo::new(move |_| {
        let units = learning.units();
        let number = learning.number.get();
        let seen = learning.seen.get();
        seen.map_or_else(Vec::new, |seen| readings(number, &seen.0, units))
    });
    let spoken = words(move || {
        let facts: Vec<String> = facts
            .get()
            .into_iter()
            .map(|(name, value)| format!("{name} {value}"))
            .collect();
        format!("{}. {}.", learning.lesson().name, facts.join(", "))
    });
    let says = Memo::new(move |_| {
        let units = learning.units();
        let number = learning.number.get();
        let settings = learning.settings.get_untracked()[number];
        learning.seen.get().map_or_else(
            || {
                (
                    false,
                    "The core found no answer here. Move a control back.".to_owned(),
                )
            },
            |seen| verdict(number, &settings, &seen.0, &learning.others(), units),
        )
    });
    let open = press(move || {
        if let Some(seen) = learning.seen.get_untracked() {
            store.open_build(seen.0.build.clone());
            store.go(Place::Match);
        }
    });
    let turn = move |step: isize, name: &'static str| {
        let to = words(move || (learning.number.get() as isize + step).to_string());
        let none = whether(move || {
            learning
                .number
                .get()
                .checked_add_signed(step)
                .is_none_or(|n| n >= COUNT)
        });
        view! { <button type="button" data-turn=name disabled=none on:click=press(move || {
            if let Ok(number) = to.get_untracked().parse() { learning.go(number); }
        })>{name}</button> }
        .into_any()
    };
    view! {
        <main class="learn">
            <h1 class="unseen">"Learn"</h1>
            {lessons_nav(learning)}
            <article>
                <div class="head-words">
                    <p class="quiet">{words(move || format!("Lesson {} of {COUNT}: {}", learning.number.get() + 1, learning.lesson().name))}</p>
                    <h2 id="lesson-title" tabindex="-1">{words(move || learning.lesson().title.to_owned())}</h2>
                    <p>{words(move || learning.lesson().text.to_owned())}</p>
                </div>
                <section class="try" aria-labelledby="try-title">
                    <h3 id="try-title">"Try it"</h3>
                    <p data-question="">{words(move || question(learning.number.get(), learning.units()))}</p>
                </section>
                <div class="seen">
                    <CanvasPlot name="lesson" spoken draw=Rc::new(move |pen: &mut Pen| draw(learning, pen)) depends=Rc::new(depends) pick/>
                    <dl>{live(move || list(facts.get().into_iter().map(|(name, value)| view! { <div><dt>{name}</dt><dd>{value}</dd></div> }.into_any())))}</dl>
                </div>
                    <div class="hands" role="group" aria-labelledby="try-title" class:done=whether(move || says.get().0)>
                        <p role="status" data-verdict=words(move || if says.get().0 { "answered" } else { "open" }.to_owned())>
                            <b>{words(move || if says.get().0 { "Answered. " } else { "" }.to_owned())}</b>
                            {words(move || says.get().1)}
                        </p>
                        {live(move || controls(learning))}
                    </div>
                <div class="end">
                    <div class="equations" tabindex="0" role="group" aria-label="Formula">{perhaps(move || formula(learning))}</div>
                    <p class="take"><b>"What to take away. "</b>{words(move || learning.lesson().lesson.to_owned())}</p>
                    {perhaps(move || {
                        let caution = learning.lesson().caution;
                        (!caution.is_empty()).then(|| view! { <p class="caution"><i class="mark" aria-hidden="true"></i>{caution}</p> }.into_any())
                    })}
                    <div class="turns">
                        {turn(-1, "Previous")}
                        <button type="button" data-act="open-lesson" on:click=open>"Open this build in Match"</button>
                        {turn(1, "Next")}
                    </div>
                </div>
            </article>
        </main>
    }
    .into_any()
}
