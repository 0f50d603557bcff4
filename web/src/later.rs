//! Parts of the program that a first visit need not download: each is a file of its own, fetched when
//! it is first wanted (the service worker has it by then, where there is one).
//!
//! What is here is split off by `.ci/xtask/src/split.rs`, with all that only it needs; in tests and
//! in plain builds the calls are calls like any other.

// The macro makes each part's entry an import that the splitting fills in.
#![allow(unsafe_code, unreachable_code)]

use crate::parts::shapes::{live, press};
use crate::parts::{self, tables};
use crate::places;
use crate::store::Store;
use airpath::build::{Build, LinkError, from_link, to_link};
use leptos::prelude::*;
use leptos::task::spawn_local;
use std::future::Future;
use std::pin::Pin;
use wasm_split_helpers::{SplitLoaderError, wasm_split};

/// What shows a part, once its code is there.
type Show = fn() -> AnyView;

/// What takes in a file: its name and its bytes.
type TakeFile = fn(Store, &str, &[u8]);

/// What makes a file: its name and its text.
type MakeFile = fn(Store) -> (String, String);

/// What does a job beside the page, telling piece by piece.
type DoJob = fn(&str, &dyn Fn(&str)) -> Result<(), String>;

/// A part on its way.
type Coming<T> = Pin<Box<dyn Future<Output = Result<T, SplitLoaderError>>>>;

/// Reads and writes links.
#[derive(Clone, Copy)]
pub struct Links {
    /// The build of a link.
    pub read: fn(&str) -> Result<Build, LinkError>,
    /// The link to a build.
    pub write: fn(&Build) -> Result<String, LinkError>,
}

#[wasm_split(inputs, fallible)]
fn inputs_part() -> Result<Show, SplitLoaderError> {
    Ok(parts::part::inputs)
}

#[wasm_split(learn, fallible)]
fn learn_part() -> Result<Show, SplitLoaderError> {
    Ok(places::learn::Learn)
}

#[wasm_split(desk, fallible)]
fn choose_part() -> Result<Show, SplitLoaderError> {
    Ok(places::choose::Choose)
}

#[wasm_split(desk, fallible)]
fn desk_work_part() -> Result<DoJob, SplitLoaderError> {
    Ok(airpath::desk::job::work)
}

#[wasm_split(desk, fallible)]
fn sheets_part() -> Result<Show, SplitLoaderError> {
    Ok(places::sheets::SheetsPlace)
}

#[wasm_split(aside, fallible)]
fn kept_part() -> Result<Show, SplitLoaderError> {
    Ok(places::kept::Kept)
}

#[wasm_split(aside, fallible)]
fn open_file_part() -> Result<fn(Store, &str, &str), SplitLoaderError> {
    Ok(Store::open_file)
}

#[wasm_split(response, fallible)]
fn response_part() -> Result<[Show; 3], SplitLoaderError> {
    use parts::response::{pull, spool, sure};
    Ok([spool, pull, sure])
}

#[wasm_split(response, fallible)]
fn study_work_part() -> Result<DoJob, SplitLoaderError> {
    Ok(parts::response::work)
}

#[wasm_split(numbers, fallible)]
fn working_part() -> Result<Show, SplitLoaderError> {
    Ok(parts::working::WorkingSheet)
}

#[wasm_split(numbers, fallible)]
fn tables_part() -> Result<[Show; 3], SplitLoaderError> {
    Ok([tables::map_table, tables::traces_table, tables::way_table])
}

#[wasm_split(maps, fallible)]
fn take_map_part() -> Result<TakeFile, SplitLoaderError> {
    Ok(parts::map_file::take)
}

#[wasm_split(maps, fallible)]
fn map_table_file_part() -> Result<MakeFile, SplitLoaderError> {
    Ok(parts::map_file::table)
}

#[wasm_split(maps, fallible)]
fn own_numbers_part() -> Result<Show, SplitLoaderError> {
    Ok(parts::own::numbers)
}

#[wasm_split(maps, fallible)]
fn shelf_part() -> Result<Show, SplitLoaderError> {
    Ok(places::shelf::Shelf)
}

#[wasm_split(maps, fallible)]
fn tracing_part() -> Result<Show, SplitLoaderError> {
    Ok(parts::tracing::Trace)
}

#[wasm_split(aside, fallible)]
fn share_part() -> Result<Show, SplitLoaderError> {
    Ok(parts::share::Share)
}

#[wasm_split(aside, fallible)]
fn beside_part() -> Result<Show, SplitLoaderError> {
    Ok(parts::beside::beside)
}

#[wasm_split(aside, fallible)]
fn picture_part() -> Result<fn(Store, &str, &str), SplitLoaderError> {
    Ok(parts::picture::save)
}

#[wasm_split(aside, fallible)]
fn links_part() -> Result<Links, SplitLoaderError> {
    Ok(Links {
        read: from_link,
        write: to_link,
    })
}

/// The fields of every part of the air's way.
pub fn inputs() -> AnyView {
    later(|| Box::pin(inputs_part()))
}

/// The lessons.
pub fn learn() -> AnyView {
    later(|| Box::pin(learn_part()))
}

/// Which one: candidates side by side.
pub fn choose() -> AnyView {
    later(|| Box::pin(choose_part()))
}

/// Sheets to print.
pub fn sheets() -> AnyView {
    later(|| Box::pin(sheets_part()))
}

/// The builds kept on this device.
pub fn kept() -> AnyView {
    later(|| Box::pin(kept_part()))
}

/// The working that is open.
pub fn working() -> AnyView {
    later(|| Box::pin(working_part()))
}

/// The link to the build that stands.
pub fn share() -> AnyView {
    later(|| Box::pin(share_part()))
}

/// A visitor beside the person's own build.
pub fn beside() -> AnyView {
    later(|| Box::pin(beside_part()))
}

/// The table of the compressor map.
pub fn map_table() -> AnyView {
    later(|| Box::pin(async { Ok(tables_part().await?[0]) }))
}

/// The table of the traces.
pub fn traces_table() -> AnyView {
    later(|| Box::pin(async { Ok(tables_part().await?[1]) }))
}

/// The table of the air's way.
pub fn way_table() -> AnyView {
    later(|| Box::pin(async { Ok(tables_part().await?[2]) }))
}

/// Time to boost.
pub fn spool() -> AnyView {
    later(|| Box::pin(async { Ok(response_part().await?[0]) }))
}

/// A pull in gear.
pub fn pull() -> AnyView {
    later(|| Box::pin(async { Ok(response_part().await?[1]) }))
}

/// How sure the match is.
pub fn sure() -> AnyView {
    later(|| Box::pin(async { Ok(response_part().await?[2]) }))
}

/// What does a share of a study.
pub fn study_work() -> Coming<DoJob> {
    Box::pin(study_work_part())
}

/// What does a job of the desk.
pub fn desk_work() -> Coming<DoJob> {
    Box::pin(desk_work_part())
}

/// What reads and writes links.
pub fn links() -> Coming<Links> {
    Box::pin(links_part())
}

/// Saves a picture of a plot.
pub fn save_picture(store: Store, name: &'static str, title: &'static str) {
    spawn_local(async move {
        match picture_part().await {
            Ok(save) => save(store, name, title),
            Err(_) => store
                .notice
                .set(Some(format!("No picture was saved. {NOT_HERE}"))),
        }
    });
}

/// Takes in a file with one build or all of them.
pub async fn open_file(store: Store, name: String, text: String) {
    match open_file_part().await {
        Ok(open) => open(store, &name, &text),
        Err(_) => store
            .notice
            .set(Some(format!("“{name}” was not opened. {NOT_HERE}"))),
    }
}

/// The numbers of the turbocharger that stands.
pub fn own_numbers() -> AnyView {
    later(|| Box::pin(own_numbers_part()))
}

/// The turbochargers that there are.
pub fn shelf_place() -> AnyView {
    later(|| Box::pin(shelf_part()))
}

/// A compressor map traced from a picture.
pub fn tracing() -> AnyView {
    later(|| Box::pin(tracing_part()))
}

/// Takes in a compressor map's file.
pub async fn take_map(store: Store, name: String, bytes: Vec<u8>) {
    match take_map_part().await {
        Ok(take) => take(store, &name, &bytes),
        Err(_) => store
            .notice
            .set(Some(format!("“{name}” was not taken. {NOT_HERE}"))),
    }
}

/// Saves the compressor map that stands as a table, or an example of one.
pub fn save_map(store: Store) {
    spawn_local(async move {
        let saved = match map_table_file_part().await {
            Ok(table) => {
                let (name, text) = table(store);
                parts::header::download(&format!("{name}.map.csv"), &text, "text/csv")
            }
            Err(_) => {
                return store
                    .notice
                    .set(Some(format!("No file was saved. {NOT_HERE}")));
            }
        };
        if saved.is_none() {
            store.notice.set(Some(
                "This browser did not let the page save a file.".to_owned(),
            ));
        }
    });
}

const NOT_HERE: &str = "This part of Airpath is not on this device yet and could not be fetched. Everything else works. With a connection, try again.";

/// A part's view as soon as its code is there, or what went wrong and a way to try again.
fn later(fetch: fn() -> Coming<Show>) -> AnyView {
    let here = RwSignal::new(None::<Option<Show>>);
    let go = move || {
        here.set(None);
        spawn_local(async move {
            // The page may have gone elsewhere by then.
            let _ = here.try_set(Some(fetch().await.ok()));
        });
    };
    go();
    live(move || match here.get() {
        None => ().into_any(),
        Some(Some(show)) => show(),
        Some(None) => view! {
            <div class="notice" role="alert" data-not-here="">
                <p>{NOT_HERE}</p>
                <button type="button" class="small" on:click=press(go)>"Try again"</button>
            </div>
        }
        .into_any(),
    })
}
