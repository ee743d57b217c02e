//! A thin handler for each thing that can be asked for: fetch, call, wrap.

use std::sync::Arc;

use axum::extract::ws::WebSocketUpgrade;
use axum::extract::ws::rejection::WebSocketUpgradeRejection;
use axum::extract::{Extension, Path, Query, State};
use axum::http::{HeaderMap, StatusCode, header};
use axum::response::{IntoResponse, Redirect, Response};
use axum::{Json, Router, routing};
use glowloom_plan::journal;
use glowloom_plan::steps::{Amount, what};
use maud::Markup;
use serde::Deserialize;

use crate::desk::{Desk, Look, Refused};
use crate::edit::Change;
use crate::home::Trouble;
use crate::server::{Peer, Site};
use crate::values::{self, Quantity};
use crate::{assets, live, pages};

type Shared = State<Arc<Site>>;

/// Longest text that is typed for the wall, characters.
const MOST_TEXT: usize = 500;

/// Every route.
pub fn all() -> Router<Arc<Site>> {
    Router::new()
        .route("/", routing::get(glance))
        .route("/wall", routing::get(wall))
        .route("/file", routing::get(file).post(save_file))
        .route("/build", routing::get(build))
        .route("/run", routing::get(run))
        .route("/sheets", routing::get(sheets))
        .route("/sheets/{number}", routing::get(sheet))
        .route("/book/{*path}", routing::get(book))
        .route("/enter", routing::get(door).post(enter))
        .route("/assets/{name}", routing::get(asset))
        .route("/state", routing::get(state))
        .route("/pixel", routing::get(pixel))
        .route("/values", routing::get(quantity))
        .route("/try", routing::post(try_feeds))
        .route("/change", routing::post(change))
        .route("/begin", routing::post(begin))
        .route("/undo", routing::post(undo))
        .route("/redo", routing::post(redo))
        .route("/done", routing::post(done))
        .route("/show", routing::post(show))
        .route("/live", routing::get(live_picture))
}

/// What is asked for is not there.
pub async fn nothing_here() -> Response {
    let page = pages::broken::page("There is no such sheet.", "Go back to the first one.");
    (StatusCode::NOT_FOUND, page).into_response()
}

/// Runs what takes time beside the answers to others.
async fn work<T: Send + 'static>(
    site: &Arc<Site>,
    run: impl FnOnce(&Desk) -> T + Send + 'static,
) -> Result<T, Response> {
    let site = Arc::clone(site);
    tokio::task::spawn_blocking(move || run(&site.desk)).await.map_err(|_| {
        let page = pages::broken::page(
            "This sheet could not be drawn.",
            "It is a fault of the program: please report it with the wall file.",
        );
        (StatusCode::INTERNAL_SERVER_ERROR, page).into_response()
    })
}

/// A page that is drawn from the wall as it is now.
async fn drawn(
    site: &Arc<Site>,
    draw: impl FnOnce(&Desk, &Look) -> Markup + Send + 'static,
) -> Result<Markup, Response> {
    work(site, move |desk| {
        let look = desk.look();
        draw(desk, &look)
    })
    .await
}

async fn glance(
    State(site): Shared,
    Query(filled): Query<pages::begin::Filled>,
) -> Result<Markup, Response> {
    drawn(&site, move |desk, look| {
        if desk.home().is_new() {
            return pages::begin::page(desk, look, &filled);
        }
        pages::glance::page(desk, look)
    })
    .await
}

async fn begin(
    State(site): Shared,
    Json(filled): Json<pages::begin::Filled>,
) -> Result<Response, Response> {
    let begun = work(&site, move |desk| -> Result<&str, Refused> {
        desk.home().begin(filled.text()?.as_bytes())?;
        Ok("The file is written.")
    })
    .await?;
    Ok(answered(begun))
}

async fn wall(
    State(site): Shared,
    Query(asked): Query<pages::wall::Asked>,
) -> Result<Markup, Response> {
    drawn(&site, move |desk, look| pages::wall::page(desk, look, &asked)).await
}

async fn file(State(site): Shared) -> Result<Markup, Response> {
    drawn(&site, pages::file::page).await
}

async fn build(State(site): Shared) -> Result<Markup, Response> {
    drawn(&site, pages::build::page).await
}

async fn run(State(site): Shared) -> Result<Markup, Response> {
    drawn(&site, pages::run::page).await
}

async fn sheets(State(site): Shared) -> Result<Markup, Response> {
    drawn(&site, pages::sheets::list).await
}

async fn sheet(State(site): Shared, Path(number): Path<usize>) -> Result<Response, Response> {
    let page = work(&site, move |desk| pages::sheets::one(desk, &desk.look(), number)).await?;
    match page {
        Some(page) => Ok(page.into_response()),
        None => Ok(nothing_here().await),
    }
}

/// A file of the book, by its path in it: no path of the disk is ever touched.
async fn book(State(site): Shared, Path(path): Path<String>) -> Result<Response, Response> {
    let made = work(&site, move |desk| {
        let view = desk.look().view?;
        let book = view.book();
        let documents = glowloom_book::documents(&book);
        let document = documents.iter().find(|document| document.path() == path)?;
        let mut bytes = Vec::new();
        document.write(&mut bytes).ok()?;
        let name = path.rsplit('/').next().unwrap_or("file").to_owned();
        Some((bytes, name))
    })
    .await?;
    let Some((bytes, name)) = made else { return Ok(nothing_here().await) };
    // Names of the book are letters, digits, points and hyphens; anything else would end the header.
    let plain = |c: char| if c.is_ascii_alphanumeric() || ".-_".contains(c) { c } else { '_' };
    let name: String = name.chars().map(plain).collect();
    let head = [
        (header::CONTENT_TYPE, kind_of(&name).to_owned()),
        (header::CONTENT_DISPOSITION, format!("attachment; filename=\"{name}\"")),
    ];
    Ok((head, bytes).into_response())
}

fn kind_of(name: &str) -> &'static str {
    match name.rsplit('.').next() {
        Some("pdf") => "application/pdf",
        Some("svg") => "image/svg+xml",
        Some("csv") => "text/csv; charset=utf-8",
        Some("json") => "application/json",
        Some("txt" | "toml") => "text/plain; charset=utf-8",
        _ => "application/octet-stream",
    }
}

async fn door() -> Markup {
    pages::enter::page()
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Token {
    token: String,
}

async fn enter(
    State(site): Shared,
    Extension(Peer(peer)): Extension<Peer>,
    Json(Token { token }): Json<Token>,
) -> Response {
    if !site.may_try(peer) {
        return (StatusCode::TOO_MANY_REQUESTS, "Too many tries. Wait ten seconds.")
            .into_response();
    }
    match site.access.enter(&token, || site.desk.home().secret()) {
        Some(cookie) => ([(header::SET_COOKIE, cookie)], "in").into_response(),
        None => (
            StatusCode::UNAUTHORIZED,
            "That is not the token. Open the link that the terminal shows, or read its code again.",
        )
            .into_response(),
    }
}

async fn asset(Path(name): Path<String>, head: HeaderMap) -> Response {
    let Some((_, kind, text)) = assets::find(&name) else { return nothing_here().await };
    let tag = format!("\"{}\"", crate::desk::mark(text.as_bytes()));
    let known = head.get(header::IF_NONE_MATCH).is_some_and(|known| *known == *tag);
    let about = [
        (header::ETAG, tag),
        (header::CACHE_CONTROL, "no-cache".to_owned()),
        (header::CONTENT_TYPE, (*kind).to_owned()),
    ];
    if known {
        return (StatusCode::NOT_MODIFIED, about).into_response();
    }
    (about, *text).into_response()
}

async fn state(State(site): Shared) -> Result<Response, Response> {
    let look = work(&site, Desk::look).await?;
    let showing = site.desk.home().show().is_some();
    let said = serde_json::json!({
        "mark": look.mark, "back": look.back, "forward": look.forward, "showing": showing,
    });
    Ok(Json(said).into_response())
}

#[derive(Deserialize)]
struct Place {
    column: u32,
    row: u32,
}

async fn pixel(State(site): Shared, Query(place): Query<Place>) -> Result<Response, Response> {
    let found = work(&site, move |desk| {
        let view = desk.look().view?;
        pages::pixel::facts(&view, place.column, place.row)
    })
    .await?;
    Ok(found
        .map_or_else(|| StatusCode::NOT_FOUND.into_response(), |facts| Json(facts).into_response()))
}

#[derive(Deserialize)]
struct Of {
    of: String,
}

fn octets(values: &[u16]) -> Response {
    ([(header::CONTENT_TYPE, "application/octet-stream")], values::bytes(values)).into_response()
}

async fn quantity(State(site): Shared, Query(Of { of }): Query<Of>) -> Result<Response, Response> {
    let quantity = match of.as_str() {
        "volts" => Quantity::Volts,
        "current" => Quantity::Current,
        _ => return Ok(nothing_here().await),
    };
    let made = work(&site, move |desk| {
        let view = desk.look().view?;
        values::over_picture(&view.wall, quantity).ok()
    })
    .await?;
    Ok(made.map_or_else(|| StatusCode::NOT_FOUND.into_response(), |values| octets(&values)))
}

fn told(refused: Refused) -> Response {
    let status = match refused {
        Refused::Changed { .. } => StatusCode::CONFLICT,
        _ => StatusCode::UNPROCESSABLE_ENTITY,
    };
    (status, Json(refused)).into_response()
}

fn answered<T: serde::Serialize>(result: Result<T, Refused>) -> Response {
    result.map_or_else(told, |value| Json(value).into_response())
}

async fn try_feeds(
    State(site): Shared,
    Json(changes): Json<Vec<Change>>,
) -> Result<Response, Response> {
    let made = work(&site, move |desk| {
        let wall = desk.trial(&changes)?;
        values::over_picture(&wall, Quantity::Volts).map_err(|unsolved| {
            Refused::from(Trouble::new(unsolved.to_string(), "put the feed elsewhere"))
        })
    })
    .await?;
    Ok(made.map_or_else(told, |values| octets(&values)))
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Changes {
    changes: Vec<Change>,
    #[serde(default)]
    dry: bool,
}

async fn change(State(site): Shared, Json(asked): Json<Changes>) -> Result<Response, Response> {
    Ok(answered(work(&site, move |desk| desk.change(&asked.changes, asked.dry)).await?))
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Text {
    mark: String,
    text: String,
    #[serde(default)]
    dry: bool,
}

async fn save_file(State(site): Shared, Json(asked): Json<Text>) -> Result<Response, Response> {
    let saved = work(&site, move |desk| desk.rewrite(&asked.mark, asked.text, asked.dry)).await?;
    Ok(answered(saved))
}

async fn undo(State(site): Shared) -> Result<Response, Response> {
    Ok(answered(work(&site, |desk| desk.step(false)).await?))
}

async fn redo(State(site): Shared) -> Result<Response, Response> {
    Ok(answered(work(&site, |desk| desk.step(true)).await?))
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Done {
    words: String,
    #[serde(default)]
    undo: bool,
}

async fn done(State(site): Shared, Json(asked): Json<Done>) -> Result<Response, Response> {
    Ok(answered(work(&site, move |desk| write_down(desk, &asked)).await?))
}

fn write_down(desk: &Desk, asked: &Done) -> Result<String, Refused> {
    let gone = || Trouble::new("the wall file cannot be read", "mend it first");
    let view = desk.look().view.ok_or_else(gone)?;
    let (what, amount) =
        what::read(&asked.words).map_err(|not| Trouble::new(not.found, not.wanted))?;
    let mut journal = desk.journal()?;
    let change = if asked.undo {
        journal.undo(&what, amount)
    } else {
        let task = journal::progress::find(&view.wall, &view.steps, &what)
            .map_err(|unknown| Trouble::new(unknown.found, unknown.there))?;
        // A tick without a number is all of it.
        let amount = if amount == Amount::Unsaid && task.count > 1 {
            Amount::InAll(task.count)
        } else {
            amount
        };
        journal.done(task, amount)
    };
    match change {
        journal::Change::Written(_) | journal::Change::TakenOut(_) => {
            desk.home().save_journal(&journal.text())?;
            let word = if asked.undo { "undone" } else { "done" };
            Ok(format!("{word}: {what}"))
        }
        journal::Change::Already(_) => Ok(format!("{what} is in the journal already")),
        journal::Change::NotThere(_) | journal::Change::HowMany => {
            Err(Trouble::new(format!("the journal does not have `{what}`"), "load the page again")
                .into())
        }
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Showing {
    brightness: Option<f32>,
    text: Option<String>,
}

async fn show(State(site): Shared, Json(asked): Json<Showing>) -> Result<Response, Response> {
    let made = work(&site, move |desk| -> Result<crate::State, Refused> {
        let show = desk.home().show().ok_or_else(no_show)?;
        if let Some(share) = asked.brightness {
            if !(0.0..=1.0).contains(&share) {
                return Err(
                    Trouble::new(format!("the brightness is {share}"), "give 0 to 1").into()
                );
            }
            show.set_brightness(share);
        }
        if let Some(text) = asked.text {
            if text.chars().count() > MOST_TEXT {
                let found = format!("the text has more than {MOST_TEXT} characters");
                return Err(Trouble::new(found, "make it shorter").into());
            }
            show.show_text(&text)?;
        }
        Ok(show.state())
    })
    .await?;
    Ok(answered(made))
}

fn no_show() -> Trouble {
    Trouble::new("nothing is being shown", "start `glowloom serve` with --play")
}

async fn live_picture(
    State(site): Shared,
    upgrade: Result<WebSocketUpgrade, WebSocketUpgradeRejection>,
) -> Response {
    let Ok(upgrade) = upgrade else {
        return Redirect::to("/run").into_response();
    };
    let Some(show) = site.desk.home().show() else {
        return (StatusCode::NOT_FOUND, no_show().found).into_response();
    };
    let Ok(place) = Arc::clone(&site.live).try_acquire_owned() else {
        return (StatusCode::SERVICE_UNAVAILABLE, "Too many live pictures at once.")
            .into_response();
    };
    let upgrade = upgrade.max_message_size(4096).max_frame_size(4096);
    upgrade.on_upgrade(move |socket| live::send(socket, show, site, place))
}
