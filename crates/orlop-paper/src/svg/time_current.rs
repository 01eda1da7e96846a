//! Time-current charts: bands of devices in series on double-logarithmic paper, with the fault currents of the last one.

use super::canvas::{Anchor, POINT, Type, ink};
use super::log::{Frame, Log, cut, cut_shape, flag};
use super::{Canvas, PAGE_WIDTH, wrap};
use crate::pretty;
use crate::view::{Band, Chart};
use orlop_units::{amperes, seconds};

const HEAD: Type = Type::plain(9.0).bold();
const TEXT: Type = Type::plain(7.5);
const AXIS: Type = Type::plain(7.0).fill(ink::SOFT);
const NUMBER: Type = Type::plain(7.0).bold();
/// Left, top, right and bottom of the plot.
const PLOT: Frame = [15.0, 14.0, 124.0, 76.0];
/// Left end of the legend.
const LEGEND: f64 = 130.0;
/// Height of a line of the legend.
const LINE: f64 = 3.3;
const HEIGHT: f64 = 84.0;
/// Shortest and longest time, in seconds.
const TIMES: (f64, f64) = (1e-3, 1e4);
/// One for each band, from the bank on; they differ in lightness.
const COLOURS: [&str; 4] = ["#7d8f98", "#14506e", "#c07f1e", "#5f9e6e"];
/// Times at which the number of each band stands, from the bank on.
const NUMBERS: [f64; 4] = [400.0, 40.0, 4.0, 0.4];

/// Draws one chart.
#[must_use]
pub fn time_current(chart: &Chart) -> Canvas {
    let mut c = Canvas::new(PAGE_WIDTH, HEIGHT);
    one_line(&mut c, 0.0, 4.0, HEAD, &chart.title, PAGE_WIDTH);
    let (amps, times) = axes(chart);
    grid(&mut c, amps, times);
    for (at, band) in chart.bands.iter().enumerate() {
        shade(&mut c, band, at, amps, times);
    }
    for (at, band) in chart.bands.iter().enumerate() {
        number(&mut c, band, at, amps, times);
    }
    faults(&mut c, chart, amps);
    legend(&mut c, chart);
    c
}

fn one_line(c: &mut Canvas, x: f64, y: f64, style: Type, text: &str, room: f64) {
    let cut = wrap(text, room, style.points * POINT, style.bold, 1);
    c.text(x, y, style, cut.first().map_or("", String::as_str));
}

fn axes(chart: &Chart) -> (Log, Log) {
    let firsts = chart.bands.iter().flat_map(|b| b.fastest.first().into_iter().chain(b.slowest.first()));
    let faults = || chart.low.into_iter().chain(chart.high);
    let known = |a: &f64| *a > 0.0 && a.is_finite();
    let low = firsts.clone().map(|p| p.0).chain(faults()).filter(known).fold(f64::INFINITY, f64::min);
    // Room for the whole of each band, and for the largest fault.
    let high = firsts.map(|p| p.0 * 20.0).chain(faults().map(|f| f * 1.5)).filter(known).fold(0.0, f64::max);
    let (low, high) = if low.is_finite() { (low * 0.7, high) } else { (1.0, 1000.0) };
    (Log::new(low, high, PLOT[0], PLOT[2]), Log::new(TIMES.0, TIMES.1, PLOT[3], PLOT[1]))
}

fn grid(c: &mut Canvas, amps: Log, times: Log) {
    for (axis, across) in [(amps, true), (times, false)] {
        for (value, decade) in axis.lines() {
            let at = axis.at(value);
            let (from, to) =
                if across { ((at, PLOT[1]), (at, PLOT[3])) } else { ((PLOT[0], at), (PLOT[2], at)) };
            let (thick, stroke) = if decade { (0.15, ink::FINE) } else { (0.08, "#d5dfe4") };
            c.line(from, to, thick, stroke);
        }
    }
    c.rect([PLOT[0], PLOT[1], PLOT[2] - PLOT[0], PLOT[3] - PLOT[1]], "none", ink::DARK, 0.25);
    for value in amps.labels(16.0) {
        let text = pretty::show(amperes(value));
        flag(c, amps.at(value), PLOT[3] + 3.6, [PLOT[0] - 4.0, PLOT[2] + 4.0], AXIS, &text);
    }
    for value in times.labels(5.0) {
        let text = if value >= 100.0 { format!("{value}\u{a0}s") } else { pretty::show(seconds(value)) };
        c.text(PLOT[0] - 1.0, times.at(value) + 0.9, AXIS.anchor(Anchor::End), &text);
    }
}

/// An edge on paper, from the top of the sheet on.
fn edge(points: &[(f64, f64)], amps: Log, times: Log) -> Vec<(f64, f64)> {
    let top = points.first().map(|p| (amps.at(p.0), PLOT[1] - 5.0));
    top.into_iter().chain(points.iter().map(|p| (amps.at(p.0), times.at(p.1)))).collect()
}

fn shade(c: &mut Canvas, band: &Band, at: usize, amps: Log, times: Log) {
    let colour = COLOURS[at % COLOURS.len()];
    let (fast, slow) = (edge(&band.fastest, amps, times), edge(&band.slowest, amps, times));
    if !fast.is_empty() && !slow.is_empty() {
        let around: Vec<_> = fast.iter().chain(slow.iter().rev()).copied().collect();
        c.tint(&cut_shape(&around, PLOT), colour);
    }
    for (edge, thick) in [(fast, 0.25), (slow, 0.55)] {
        for pair in edge.windows(2) {
            if let Some((from, to)) = cut(pair[0], pair[1], PLOT) {
                c.line(from, to, thick, colour);
            }
        }
    }
}

/// Where an edge is at a time.
fn at_time(edge: &[(f64, f64)], y: f64) -> Option<f64> {
    let pair = edge.windows(2).find(|p| p[0].1 <= y && y <= p[1].1)?;
    let (a, b) = (pair[0], pair[1]);
    Some(if b.1 > a.1 { a.0 + (b.0 - a.0) * (y - a.1) / (b.1 - a.1) } else { a.0 })
}

/// The number of a band, in its middle at a time of its own so that none meets another.
fn number(c: &mut Canvas, band: &Band, at: usize, amps: Log, times: Log) {
    let y = times.at(NUMBERS[at % NUMBERS.len()]);
    let edges = [edge(&band.fastest, amps, times), edge(&band.slowest, amps, times)];
    let known: Vec<f64> = edges.iter().filter_map(|e| at_time(e, y)).collect();
    if known.is_empty() {
        return;
    }
    let x = known.iter().sum::<f64>() / known.len() as f64;
    if x > PLOT[0] + 2.5 && x < PLOT[2] - 2.5 {
        disc(c, x, y, at);
    }
}

fn disc(c: &mut Canvas, x: f64, y: f64, at: usize) {
    c.circle(x, y, 1.9, "#ffffff", COLOURS[at % COLOURS.len()], 0.5);
    c.text(x, y + 0.9, NUMBER.anchor(Anchor::Middle), &(at + 1).to_string());
}

fn faults(c: &mut Canvas, chart: &Chart, amps: Log) {
    // The lower one is told in the lower lane, to the left where there is room; the upper one above it.
    let ends = [(chart.low, PLOT[1] - 1.2, "must open on"), (chart.high, PLOT[1] - 4.8, "must break")];
    let mut taken: Option<[f64; 2]> = None;
    for (current, y, what) in ends {
        let Some(current) = current.filter(|i| amps.holds(*i)) else { continue };
        let x = amps.at(current);
        let text = format!("{what} {}", pretty::show(amperes(current)));
        let side = if taken.is_none() { x - TEXT.width(&text) / 2.0 } else { x };
        let own = flag(c, side, y, [PLOT[0], PLOT[2]], TEXT.bold(), &text);
        // The line goes up to its text unless another one is in between.
        let clear = taken.is_none_or(|t| x < t[0] - 0.5 || x > t[1] + 0.5);
        let top = if clear { y + 0.5 } else { PLOT[1] };
        c.dashed((x, top), (x, PLOT[3]), 0.5, ink::DARK);
        taken = Some(own);
    }
}

fn legend(c: &mut Canvas, chart: &Chart) {
    let room = PAGE_WIDTH - LEGEND;
    let mut y = PLOT[1] + 2.0;
    for (at, band) in chart.bands.iter().enumerate() {
        disc(c, LEGEND + 2.0, y - 0.9, at);
        one_line(c, LEGEND + 5.5, y, TEXT.bold(), &format!("{} {}", band.id, band.name), room - 5.5);
        for line in
            wrap(&format!("{}{}", band.device, band.trust.mark), room - 5.5, TEXT.points * POINT, false, 2)
        {
            y += LINE;
            c.text(LEGEND + 5.5, y, TEXT, &line);
        }
        y += LINE + 1.6;
    }
    if let Some(last) = chart.bands.last() {
        c.dashed((LEGEND + 2.0, y - 3.2), (LEGEND + 2.0, y + 1.2), 0.5, ink::DARK);
        one_line(c, LEGEND + 5.5, y, TEXT, &format!("fault currents of {}", last.id), room - 5.5);
        y += LINE + 2.4;
    }
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    let lines = ((HEIGHT - 1.0 - y) / LINE).max(0.0) as usize + 1;
    for line in wrap(&chart.verdict, room, TEXT.points * POINT, false, lines) {
        c.text(LEGEND, y, TEXT, &line);
        y += LINE;
    }
}
