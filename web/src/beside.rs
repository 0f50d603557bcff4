//! Work beside the page: the same program in workers, each of which does a share of it.
//!
//! Where there are no workers (the page as one file may start none) the page does it itself, a little
//! at a time.

use std::cell::Cell;
use std::rc::Rc;
use wasm_bindgen::prelude::*;
use web_sys::{MessageEvent, Worker, WorkerOptions, WorkerType};

/// What a worker runs: `web/offline/beside.js`.
const SCRIPT: &str = "beside.js";

/// Most workers: more than a phone has fast cores for.
const MOST: f64 = 4.0;

/// Whether this program runs beside a page rather than in it.
pub fn is_beside() -> bool {
    web_sys::window().is_none()
}

/// What a worker is asked for; it tells each piece of the answer as a text.
///
/// # Errors
/// Why it cannot be done.
#[wasm_bindgen]
pub async fn work(job: String, tell: js_sys::Function) -> Result<(), JsValue> {
    // A job of the desk is a record; one of a study begins with a number.
    let part = match job.starts_with('{') {
        true => crate::later::desk_work(),
        false => crate::later::study_work(),
    };
    let work = part
        .await
        .map_err(|_| JsValue::from_str("a part of the program could not be fetched"))?;
    work(&job, &|text| {
        let _ = tell.call1(&JsValue::NULL, &text.into());
    })
    .map_err(|why| JsValue::from_str(&why))
}

/// How many workers are worth having; none where there can be none.
pub fn count() -> usize {
    if addresses().is_none() {
        return 0;
    }
    let cores = leptos::prelude::window().navigator().hardware_concurrency();
    cores.clamp(1.0, MOST) as usize
}

/// Where the program's two halves are, as the page itself was told.
fn addresses() -> Option<(String, String)> {
    let document = leptos::prelude::document();
    let of = |selector: &str, attribute: &str| -> Option<String> {
        let link = document.query_selector(selector).ok()??;
        let relative = link.get_attribute(attribute)?;
        let base = document.base_uri().ok()??;
        let address = web_sys::Url::new_with_base(&relative, &base).ok()?;
        Some(address.href())
    };
    let glue = of("link[rel=modulepreload]", "href")?;
    let program = of("link[rel=preload][as=fetch]", "href")?;
    Some((glue, program))
}

/// Workers at their work; dropping it stops them.
pub struct Gang {
    workers: Vec<Worker>,
    // What listens to them.
    _heard: Vec<Closure<dyn FnMut(MessageEvent)>>,
    _broken: Vec<Closure<dyn FnMut(web_sys::Event)>>,
}

impl Drop for Gang {
    fn drop(&mut self) {
        for worker in &self.workers {
            worker.set_onmessage(None);
            worker.set_onerror(None);
            worker.terminate();
        }
    }
}

/// What the workers tell.
pub enum Told {
    /// A piece of the answer.
    Piece(String),
    /// Every one of them is done.
    Done,
    /// One of them is not able to.
    Failed,
}

/// Starts a worker for each job; `hear` is told what comes. `None` where there can be no workers.
pub fn start(jobs: Vec<String>, hear: impl Fn(Told) + 'static) -> Option<Gang> {
    let (glue, program) = addresses()?;
    let hear: Rc<dyn Fn(Told)> = Rc::new(hear);
    let left = Rc::new(Cell::new(jobs.len()));
    let failed = Rc::new(Cell::new(false));
    let mut gang = Gang {
        workers: Vec::new(),
        _heard: Vec::new(),
        _broken: Vec::new(),
    };
    for job in jobs {
        let options = WorkerOptions::new();
        options.set_type(WorkerType::Module);
        let worker = Worker::new_with_options(SCRIPT, &options).ok()?;
        let give_up = {
            let (hear, failed) = (hear.clone(), failed.clone());
            move || {
                if !failed.replace(true) {
                    hear(Told::Failed);
                }
            }
        };
        let broken = {
            let give_up = give_up.clone();
            Closure::<dyn FnMut(web_sys::Event)>::new(move |_| give_up())
        };
        let heard = {
            let (hear, left) = (hear.clone(), left.clone());
            Closure::<dyn FnMut(MessageEvent)>::new(move |event: MessageEvent| {
                let data = event.data();
                let part = |key: &str| js_sys::Reflect::get(&data, &key.into()).ok();
                if let Some(text) = part("text").and_then(|t| t.as_string()) {
                    hear(Told::Piece(text));
                } else if part("done").is_some_and(|d| d.is_truthy()) {
                    left.set(left.get().saturating_sub(1));
                    if left.get() == 0 {
                        hear(Told::Done);
                    }
                } else {
                    give_up();
                }
            })
        };
        worker.set_onmessage(Some(heard.as_ref().unchecked_ref()));
        worker.set_onerror(Some(broken.as_ref().unchecked_ref()));
        let message = js_sys::Object::new();
        for (key, value) in [("glue", &glue), ("program", &program), ("job", &job)] {
            js_sys::Reflect::set(&message, &key.into(), &value.into()).ok()?;
        }
        worker.post_message(&message).ok()?;
        gang.workers.push(worker);
        gang._heard.push(heard);
        gang._broken.push(broken);
    }
    Some(gang)
}
