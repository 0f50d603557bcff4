//! Jobs of the desk done beside the page, or by the page itself a little at a time where there are no
//! workers.

use crate::beside::{self, Gang, Told};
use airpath::desk::job::{Job, Piece, work};
use leptos::prelude::*;
use std::cell::{Cell, RefCell};
use std::rc::Rc;
use std::time::Duration;

/// Shares that the page cuts a job into where it has to do it itself: each is soon over.
const FINE: usize = 64;

/// What is heard of a labour.
pub enum Heard {
    /// A piece of the answer.
    Piece(Piece),
    /// All of it was told.
    Done,
    /// It cannot be done, and why.
    Failed(String),
}

/// A labour on its way: dropping it stops it.
pub struct Labour {
    number: u32,
    _gang: Option<Gang>,
}

thread_local! {
    /// How many there were: what comes in from one that was stopped is not heard.
    static COUNT: Cell<u32> = const { Cell::new(0) };
    /// Those that go on.
    static GOING: RefCell<Vec<u32>> = const { RefCell::new(Vec::new()) };
}

impl Drop for Labour {
    fn drop(&mut self) {
        GOING.with_borrow_mut(|going| going.retain(|n| *n != self.number));
    }
}

fn goes_on(number: u32) -> bool {
    GOING.with_borrow(|going| going.contains(&number))
}

/// Where share `at` of `shares` of `count` things begins.
fn share(count: usize, at: usize, shares: usize) -> usize {
    count * at / shares.max(1)
}

/// Begins a labour of `count` things, whose jobs `of` makes by their ranges.
pub fn begin(
    count: usize,
    of: impl Fn((usize, usize)) -> Job + 'static,
    hear: impl Fn(Heard) + 'static,
) -> Labour {
    let number = COUNT.with(|count| count.replace(count.get() + 1));
    GOING.with_borrow_mut(|going| going.push(number));
    let hear: Rc<dyn Fn(Heard)> = Rc::new(move |heard| {
        if goes_on(number) {
            hear(heard);
        }
    });
    let of: Rc<dyn Fn((usize, usize)) -> Job> = Rc::new(of);
    let jobs = {
        let of = of.clone();
        move |shares: usize| -> Vec<String> {
            let range = |at| (share(count, at, shares), share(count, at + 1, shares));
            (0..shares)
                .map(range)
                .filter(|(from, to)| from < to)
                .map(|range| of(range).write())
                .collect()
        }
    };
    let alone = {
        let (hear, jobs) = (hear.clone(), jobs.clone());
        move || {
            let hear = hear.clone();
            let mut left = jobs(FINE);
            left.reverse();
            set_timeout(
                move || next(number, Rc::new(RefCell::new(left)), hear),
                Duration::ZERO,
            );
        }
    };
    let workers = beside::count();
    let gang = (workers > 0)
        .then(|| {
            let (hear, alone) = (hear.clone(), alone.clone());
            beside::start(jobs(workers), move |told| match told {
                Told::Piece(text) => {
                    if let Some(piece) = Piece::read(&text) {
                        hear(Heard::Piece(piece));
                    }
                }
                Told::Done => hear(Heard::Done),
                // Without them, from the beginning: what is heard twice is the same.
                Told::Failed => alone(),
            })
        })
        .flatten();
    if gang.is_none() {
        alone();
    }
    Labour {
        number,
        _gang: gang,
    }
}

/// Does the next share itself.
fn next(number: u32, left: Rc<RefCell<Vec<String>>>, hear: Rc<dyn Fn(Heard)>) {
    if !goes_on(number) {
        return;
    }
    let Some(job) = left.borrow_mut().pop() else {
        return hear(Heard::Done);
    };
    let tell = |text: &str| {
        if let Some(piece) = Piece::read(text) {
            hear(Heard::Piece(piece));
        }
    };
    match work(&job, &tell) {
        Ok(()) => set_timeout(move || next(number, left, hear), Duration::ZERO),
        Err(why) => hear(Heard::Failed(why)),
    }
}
