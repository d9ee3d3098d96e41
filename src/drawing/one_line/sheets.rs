//! Divides a supply that is too large for one sheet.
//!
//! The supply is walked from its sources as it is drawn: each point, then what it feeds. A sheet is full when
//! the next row would make it too tall. Layers that would make it too wide begin on further sheets. A line from
//! one sheet to another ends on both with the number of the other.

use std::collections::{HashMap, HashSet};

use super::circuit_columns::CircuitColumns;
use super::graph::{Edge, Graph, GraphNode, NodeThing};
use super::place::{Placed, columns, own_height};
use super::row::WireText;

/// The largest sheet whose text is 2.2 mm high on A3, and 9 px in a window of 1440 px.
const WIDEST: f64 = 1700.0;
const TALLEST: f64 = 1600.0;
/// A sheet filled to this share may end before a point whose circuits do not fit any more.
const WELL_FILLED: f64 = 0.5;
/// How full sheets are planned, one share after the other until all are low enough: the ends of lines to other
/// sheets need rows of their own.
const FILLED: [f64; 5] = [1.0, 0.85, 0.7, 0.55, 0.4];

/// The graphs of the sheets, at least one.
pub(super) fn divided<'a>(whole: &Graph<'a>, wire: &WireText<'_>) -> Vec<Graph<'a>> {
    let walk = Walk::of(whole, wire);
    let mut sheets = Vec::new();
    for share in FILLED {
        sheets = walk.divided(share * TALLEST);
        let height = |sheet: &Graph<'_>| Placed::new(sheet, &sheet.order(), wire).bottom;
        if sheets.iter().all(|sheet| height(sheet) <= TALLEST) {
            break;
        }
    }
    sheets
}

/// One sheet of the whole graph.
fn part<'a>(whole: &Graph<'a>, sheet_of: &[usize], sheet: usize) -> Graph<'a> {
    let mut part = Graph::default();
    let mut here = HashMap::new();
    for (at, node) in whole.nodes.iter().enumerate().filter(|(at, _)| sheet_of[*at] == sheet) {
        here.insert(at, part.add(node.what.clone()));
    }
    let mut begun = HashMap::new();
    let mut ended = HashSet::new();
    for edge in &whole.edges {
        let (from, to) = (here.get(&edge.from).copied(), here.get(&edge.to).copied());
        let from = match (from, to, &whole.nodes[edge.from].what) {
            (None, Some(_), NodeThing::Point(point)) => Some(
                *begun
                    .entry(edge.from)
                    .or_insert_with(|| part.add(NodeThing::From(point, sheet_of[edge.from]))),
            ),
            _ => from,
        };
        let is_left = from.is_some() && to.is_none();
        let to = if is_left { going_on(whole, edge, sheet_of, &mut part, &mut ended) } else { to };
        if let (Some(from), Some(to)) = (from, to) {
            part.join(Edge { from, to, feeder: edge.feeder });
        }
    }
    part.layer();
    part
}

/// The end of a line that goes on; `None` if the circuits there already have one.
fn going_on<'a>(
    whole: &Graph<'a>,
    edge: &Edge<'a>,
    sheet_of: &[usize],
    part: &mut Graph<'a>,
    ended: &mut HashSet<(usize, usize)>,
) -> Option<usize> {
    let sheet = sheet_of[edge.to];
    match &whole.nodes[edge.to].what {
        NodeThing::Point(point) => Some(part.add(NodeThing::To(point.called().to_owned(), sheet))),
        _ => ended
            .insert((edge.from, sheet))
            .then(|| part.add(NodeThing::To("More circuits".to_owned(), sheet))),
    }
}

/// The walk over the whole supply.
struct Walk<'w, 'a> {
    whole: &'w Graph<'a>,
    /// For each layer, the band of layers that fit side by side.
    bands: Vec<usize>,
    /// The height of what each node has in rows of its own, with the circuits of a point.
    block: Vec<f64>,
}

impl<'w, 'a> Walk<'w, 'a> {
    fn of(whole: &'w Graph<'a>, wire: &WireText<'_>) -> Self {
        let block = whole.nodes.iter().map(|node| block(whole, node)).collect();
        Self { whole, bands: bands(whole, wire), block }
    }

    /// The graphs of sheets of this height.
    fn divided(&self, tallest: f64) -> Vec<Graph<'a>> {
        let sheet_of = self.sheets(tallest);
        match sheet_of.iter().max() {
            Some(last) if *last > 0 => (0..=*last).map(|sheet| part(self.whole, &sheet_of, sheet)).collect(),
            _ => vec![self.whole.clone()],
        }
    }

    /// The sheet of each node.
    fn sheets(&self, tallest: f64) -> Vec<usize> {
        let mut sheet_of = vec![0; self.whole.nodes.len()];
        let (mut sheet, mut filled) = (0, 0.0);
        for band in 0..=self.bands.iter().copied().max().unwrap_or(0) {
            if filled > 0.0 {
                (sheet, filled) = (sheet + 1, 0.0);
            }
            for node in self.in_order(band) {
                let height = self.height(node);
                let is_full = filled + height > tallest
                    || (filled > WELL_FILLED * tallest && filled + self.block[node] > tallest);
                if is_full && filled > 0.0 {
                    (sheet, filled) = (sheet + 1, 0.0);
                }
                filled += height;
                sheet_of[node] = sheet;
            }
        }
        self.beside_what_they_feed(&mut sheet_of);
        sheet_of
    }

    /// The height that a node adds to its sheet. A point with anything below it only adds its name.
    fn height(&self, node: usize) -> f64 {
        let at = &self.whole.nodes[node];
        let own = own_height(self.whole, at);
        if at.out.is_empty() { own } else { own / 2.0 }
    }

    fn band(&self, node: usize) -> usize {
        // A circuit is drawn in the last column, beside the point that feeds it.
        let at = &self.whole.nodes[node];
        let layer = match (at.circuit(), at.into.first()) {
            (Some(_), Some(edge)) => self.whole.nodes[self.whole.edges[*edge].from].layer,
            _ => at.layer,
        };
        self.bands.get(layer).copied().unwrap_or(0)
    }

    /// The nodes of a band, each before what it feeds.
    fn in_order(&self, band: usize) -> Vec<usize> {
        let mut order = Vec::new();
        let mut seen = vec![false; self.whole.nodes.len()];
        let is_first = |node: usize| {
            let into = &self.whole.nodes[node].into;
            into.iter().all(|edge| self.band(self.whole.edges[*edge].from) != band)
        };
        for root in (0..seen.len()).filter(|node| self.band(*node) == band && is_first(*node)) {
            let mut open = vec![root];
            while let Some(node) = open.pop() {
                if self.band(node) == band && !std::mem::replace(&mut seen[node], true) {
                    order.push(node);
                    let out = self.whole.nodes[node].out.iter().rev();
                    open.extend(out.map(|edge| self.whole.edges[*edge].to));
                }
            }
        }
        order
    }

    /// A source that only feeds points of another sheet of its band is drawn there: the second battery of a switch.
    fn beside_what_they_feed(&self, sheet_of: &mut [usize]) {
        for (at, node) in self.whole.nodes.iter().enumerate() {
            let fed = node.out.iter().map(|edge| self.whole.edges[*edge].to);
            let fed: Vec<usize> =
                fed.filter(|to| self.band(*to) == self.band(at)).map(|to| sheet_of[to]).collect();
            if let Some(first) = fed.first().filter(|_| node.into.is_empty() && !fed.contains(&sheet_of[at]))
            {
                sheet_of[at] = *first;
            }
        }
    }
}

/// The height of a point's circuits.
fn block(whole: &Graph<'_>, node: &GraphNode<'_>) -> f64 {
    let fed = node.out.iter().map(|edge| &whole.nodes[whole.edges[*edge].to]);
    fed.filter(|node| node.circuit().is_some()).map(|node| own_height(whole, node)).sum()
}

/// For each layer, the band of layers that fit side by side on a sheet, beside the columns of circuits.
fn bands(whole: &Graph<'_>, wire: &WireText<'_>) -> Vec<usize> {
    let (starts, end) = columns(whole, wire);
    let ends = starts.iter().skip(1).copied().chain([end]);
    let room = WIDEST - CircuitColumns::of(whole, 0.0).right;
    let (mut band, mut left) = (0, 0.0);
    let mut bands = Vec::with_capacity(starts.len());
    for (start, end) in starts.iter().zip(ends) {
        if end - left > room && *start > left {
            (band, left) = (band + 1, *start);
        }
        bands.push(band);
    }
    bands
}
