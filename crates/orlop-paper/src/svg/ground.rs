//! The ground graph: what hangs on what, from the battery down; the one bond marked; loops at the left edge.
//!
//! Each point is a row set in below the one it hangs on. Thick lines carry return current, thin ones none; a path
//! that closes a loop runs in a lane of its own at the left and has a number and a row. Below stands what was found.

mod glyphs;

use super::canvas::{Anchor, POINT, Type, ink};
use super::oneline::symbols;
use super::{Canvas, PAGE_WIDTH, wrap};
use crate::view::{Ground, GroundKind, GroundLine, GroundPath, GroundRow};

const NAME: Type = Type::plain(8.0);
const SMALL: Type = Type::plain(7.0).fill(ink::SOFT);
const HEAD: Type = Type::plain(7.0).bold().fill(ink::SOFT);
/// Height of a row; of a line of sentences.
const PITCH: f64 = 7.6;
const LINE: f64 = 3.7;
/// Top of the first row.
const TOP: f64 = 20.0;
/// Where the columns of paths and marks begin.
const PATH: f64 = 94.0;
const MARK: f64 = 158.5;
/// Distance of lanes, and how many there are; further links are told in rows only.
const LANE: f64 = 3.4;
const LANES: usize = 6;
/// Half the size of a glyph.
const HALF: f64 = 1.4;
/// Radius of the disc with the number of a loop.
const DISC: f64 = 1.6;

/// Draws the ground graph of a boat.
#[must_use]
pub fn ground(ground: &Ground, boat: &str) -> Canvas {
    let words = sentences(ground);
    let rows = ground.rows.len() + ground.links.len();
    let foot: f64 = words.iter().map(|(_, lines)| lines.len() as f64 * LINE + 1.2).sum();
    let height = TOP + PITCH * rows as f64 + 17.0 + foot;
    let mut c = Canvas::new(PAGE_WIDTH, height);
    head(&mut c, ground, boat);
    let sheet = Sheet::of(ground);
    for (at, row) in ground.rows.iter().enumerate() {
        sheet.row(&mut c, at, row);
    }
    for (at, link) in ground.links.iter().enumerate() {
        sheet.lane(&mut c, at, link.from, link.to);
        let y = sheet.y(ground.rows.len() + at);
        number(&mut c, 2.2, y, at + 1);
        let name = format!("{} to {}", ground.rows[link.from].id, ground.rows[link.to].id);
        text(&mut c, 6.0, y + 0.2, NAME, &name, PATH - 8.0);
        path(&mut c, y, &link.path);
    }
    let mut y = TOP + PITCH * rows as f64;
    c.line((0.0, y - 1.0), (PAGE_WIDTH, y - 1.0), 0.2, ink::DARK);
    glyphs::key(&mut c, y + 3.0);
    y += 17.0;
    for (style, lines) in words {
        for line in lines {
            c.text(0.0, y, style, &line);
            y += LINE;
        }
        y += 1.2;
    }
    c
}

fn head(c: &mut Canvas, ground: &Ground, boat: &str) {
    let name = Type::plain(14.0).bold();
    let what = Type::plain(10.0);
    text(c, 0.0, 6.0, name, boat, PAGE_WIDTH - what.width("Negative and bonding") - 6.0);
    c.text(PAGE_WIDTH, 6.0, what.anchor(Anchor::End), "Negative and bonding");
    c.text(0.0, 10.8, Type::plain(8.0).fill(ink::SOFT), &ground.system);
    c.line((0.0, 12.6), (PAGE_WIDTH, 12.6), 0.6, ink::DARK);
    c.text(0.0, 16.2, HEAD, "What hangs on what");
    c.text(PATH, 16.2, HEAD, "By which path");
    c.text(PAGE_WIDTH, 16.2, HEAD.anchor(Anchor::End), "Most current");
}

/// What is found, what is in order, the caution: each with its type and lines.
fn sentences(ground: &Ground) -> Vec<(Type, Vec<String>)> {
    let style = Type::plain(8.0);
    let alert = style.fill(ink::ALERT);
    let wrapped =
        |style: Type, text: &String| (style, wrap(text, PAGE_WIDTH, style.points * POINT, style.bold, 8));
    let mut out: Vec<_> = ground.wrong.iter().map(|s| wrapped(alert, s)).collect();
    out.extend(ground.fine.iter().map(|s| wrapped(style, s)));
    out.push(wrapped(SMALL, &ground.caution.to_string()));
    out
}

/// A text cut to the room there is.
fn text(c: &mut Canvas, x: f64, y: f64, style: Type, text: &str, room: f64) {
    let cut = wrap(text, room.max(4.0), style.points * POINT, style.bold, 1);
    c.text(x, y, style, cut.first().map_or("", String::as_str));
}

struct Sheet {
    /// Left end of the tree, beside the lanes.
    left: f64,
    /// How far a row is set in below its parent.
    step: f64,
    depth: Vec<usize>,
}

impl Sheet {
    fn of(ground: &Ground) -> Self {
        let mut depth: Vec<usize> = Vec::with_capacity(ground.rows.len());
        for row in &ground.rows {
            depth.push(row.parent.map_or(0, |p| depth[p] + 1));
        }
        let deepest = depth.iter().copied().max().unwrap_or(0).max(1);
        let left = 2.2 + LANE * ground.links.len().min(LANES) as f64;
        // The deepest row keeps room for its id and what is said of it.
        Self { left, step: ((PATH - left - 34.0) / deepest as f64).min(6.5), depth }
    }

    fn x(&self, row: usize) -> f64 {
        self.left + self.step * self.depth[row] as f64
    }

    fn y(&self, row: usize) -> f64 {
        TOP + PITCH * row as f64 + 2.0
    }

    fn row(&self, c: &mut Canvas, at: usize, row: &GroundRow) {
        let (x, y) = (self.x(at), self.y(at));
        let metal = matches!(row.kind, GroundKind::Metal | GroundKind::Earth | GroundKind::Radio);
        if metal {
            let left = (x - self.step / 2.0).max(0.0);
            c.rect([left, y - 2.9, PAGE_WIDTH - left, PITCH - 0.4], ink::SAND, "", 0.0);
        }
        if let (Some(parent), Some(by)) = (row.parent, &row.path) {
            self.branch(c, parent, at, by);
            path(c, y, by);
        }
        glyphs::point(c, x, y, row.kind);
        let from = x + HALF + 1.6;
        let id = NAME.bold();
        let room = PATH - 2.0 - from;
        text(c, from, y + 0.2, id, &row.id, room);
        let after = id.width(&row.id) + 1.6;
        if !row.name.is_empty() && after + 6.0 < room {
            text(c, from + after, y + 0.2, NAME, &row.name, room - after);
        }
        if row.loose {
            c.text(from, y + 3.2, Type::plain(7.0).bold().fill(ink::ALERT), "hangs on nothing");
        } else if row.folded > 0 {
            let more = if row.folded == 1 {
                "and 1 more behind it".into()
            } else {
                format!("and {} more behind it", row.folded)
            };
            text(c, from, y + 3.2, SMALL, &more, room);
        }
    }

    /// The line from a point down and right to one that hangs on it.
    fn branch(&self, c: &mut Canvas, parent: usize, at: usize, by: &GroundPath) {
        let (px, py, x, y) = (self.x(parent), self.y(parent), self.x(at), self.y(at));
        let thick = glyphs::thickness(by.line);
        c.wire((px, py + HALF), (px, y + thick / 2.0), thick);
        c.wire((px, y), (x - HALF, y), thick);
        let middle = (px + x - HALF) / 2.0;
        let room = (x - HALF - px).max(0.6);
        glyphs::on_line(c, middle, y, room, by);
    }

    /// A path that closes a loop, in a lane at the left edge.
    fn lane(&self, c: &mut Canvas, at: usize, from: usize, to: usize) {
        if at >= LANES {
            return;
        }
        let x = 1.8 + LANE * at as f64;
        let (top, bottom) = if from < to { (from, to) } else { (to, from) };
        // A little below the line by which a point hangs on its own.
        let y = |row: usize| self.y(row) + 0.9;
        for row in [top, bottom] {
            c.wires.push([x, y(row), self.x(row) - 0.6, y(row)]);
            c.line((x, y(row)), (self.x(row) - 0.6, y(row)), 0.4, ink::ALERT);
        }
        // The number sits between two rows, where no line of another lane runs.
        let disc = y(top) + PITCH / 2.0;
        for (from, to) in [(y(top), disc - DISC), (disc + DISC, y(bottom))] {
            c.wires.push([x, from, x, to]);
            c.line((x, from), (x, to), 0.4, ink::ALERT);
        }
        number(c, x, disc, at + 1);
    }
}

/// The number of a loop in a disc.
fn number(c: &mut Canvas, x: f64, y: f64, number: usize) {
    c.circle(x, y, DISC, "#ffffff", ink::ALERT, 0.3);
    let style = Type::plain(7.0).bold().fill(ink::ALERT).anchor(Anchor::Middle);
    if number < 10 {
        c.text(x, y + 0.9, style, &number.to_string());
    }
}

/// The columns of a path: id and what it is, mark, current.
fn path(c: &mut Canvas, y: f64, path: &GroundPath) {
    let room = MARK - PATH - 3.0;
    let tag = if path.cut {
        Some(("take out", ink::ALERT))
    } else if path.the_bond {
        Some(("the one bond", ink::DARK))
    } else {
        None
    };
    let bold = Type::plain(7.0).bold();
    let tag_room = tag.map_or(0.0, |(t, _)| bold.width(t) + 3.0);
    let id = wrap(&path.id, (room - tag_room).max(10.0), 7.0 * POINT, true, 1);
    let id = id.first().map_or("", String::as_str);
    c.text(PATH, y + 0.2, bold, id);
    if let Some((tag, fill)) = tag {
        let x = PATH + bold.width(id) + 1.6;
        c.rect([x - 0.6, y - 2.2, bold.width(tag) + 1.2, 3.1], "#ffffff", fill, 0.25);
        c.text(x, y + 0.2, bold.fill(fill), tag);
    }
    text(c, PATH, y + 3.2, SMALL, &path.what, room);
    if let Some(letter) = path.mark {
        symbols::mark(c, MARK, y + 0.6, letter);
    }
    let style = if path.mark.is_some() { Type::plain(7.0).bold().fill(ink::ALERT) } else { Type::plain(7.0) };
    let room = PAGE_WIDTH - MARK - 3.0;
    for (at, line) in wrap(&path.current, room, 7.0 * POINT, style.bold, 2).iter().enumerate() {
        c.text(PAGE_WIDTH, y + 0.2 + 3.0 * at as f64, style.anchor(Anchor::End), line);
    }
}

/// Whether a path is drawn as a carrier of return current.
fn carries(line: GroundLine) -> bool {
    matches!(line, GroundLine::Cable | GroundLine::Shunt)
}
