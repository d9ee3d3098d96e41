//! Long lists in pages: the address says which page, and the list has links to the others.

use askama::Template;
use askama::filters::HtmlSafe;

use super::frame::Frame;

/// How many rows a page shows of a list.
const ROWS: usize = 100;

/// Which rows of a list are shown, with the links to the others. It shows nothing for a list of one page.
#[derive(Debug, Clone, Default, PartialEq, Eq, Template)]
#[template(path = "partials/paging.html")]
pub struct Paging {
    what: &'static str,
    pages: usize,
    /// The first shown row, counted from 1.
    from: usize,
    to: usize,
    of: usize,
    before: Option<String>,
    after: Option<String>,
}

impl HtmlSafe for Paging {}

impl Paging {
    /// The links for a page with two lists: those of the one with more pages.
    pub fn longer(self, other: Self) -> Self {
        if (other.pages, other.of) > (self.pages, self.of) { other } else { self }
    }

    /// Which rows are shown, as a text.
    pub fn rows(&self) -> String {
        format!("{} {} to {} of {}", self.what, self.from, self.to, self.of)
    }

    /// Whether it has all rows.
    pub fn is_whole(&self) -> bool {
        self.before.is_none() && self.after.is_none()
    }
}

/// The rows of a list that the page at this address shows.
pub fn page_of<'a, T>(rows: &'a [T], frame: &Frame) -> (&'a [T], Paging) {
    page_with(rows, frame, |_, _| false)
}

/// The same for drawings, which are larger than rows: so many are on a page.
pub fn drawings_of<'a, T>(drawings: &'a [T], frame: &Frame, a_page: usize) -> (&'a [T], Paging) {
    let (shown, paging) = shown(drawings, a_page, frame, |_, _| false);
    (shown, Paging { what: "Drawings", ..paging })
}

/// The same for a list of steps: a link to one step has its key in `step`, and leads to the page that has it.
pub fn page_with<'a, T>(rows: &'a [T], frame: &Frame, has: impl Fn(&T, &str) -> bool) -> (&'a [T], Paging) {
    shown(rows, ROWS, frame, has)
}

fn shown<'a, T>(
    rows: &'a [T],
    a_page: usize,
    frame: &Frame,
    has: impl Fn(&T, &str) -> bool,
) -> (&'a [T], Paging) {
    let last = rows.len().saturating_sub(1) / a_page;
    let (path, query) = frame.path.split_once('?').unwrap_or((&frame.path, ""));
    let query: Vec<(String, String)> = serde_urlencoded::from_str(query).unwrap_or_default();
    let asked = query.iter().find(|(name, _)| name == "page").and_then(|(_, page)| page.parse().ok());
    let step = query.iter().find(|(name, _)| name == "step").map(|(_, step)| step.as_str());
    let of_step = || rows.iter().position(|row| step.is_some_and(|step| has(row, step)));
    let asked = asked.map(|page: usize| page.saturating_sub(1)).or_else(|| Some(of_step()? / a_page));
    let here = asked.unwrap_or_default().min(last);
    let shown = rows.chunks(a_page).nth(here).unwrap_or_default();
    let address = |page: usize| {
        let others = query.iter().filter(|(name, _)| name != "page" && name != "step").cloned();
        let query: Vec<_> = others.chain([("page".to_owned(), (page + 1).to_string())]).collect();
        serde_urlencoded::to_string(query).ok().map(|query| format!("{path}?{query}"))
    };
    let from = here * a_page;
    let paging = Paging {
        what: "Rows",
        pages: last + 1,
        from: from + 1,
        to: from + shown.len(),
        of: rows.len(),
        before: here.checked_sub(1).and_then(address),
        after: (here < last).then(|| address(here + 1)).flatten(),
    };
    (shown, paging)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(path: &str, rows: usize) -> (usize, Paging) {
        let (rows, frame) = (vec![(); rows], Frame { path: path.to_owned(), ..Frame::default() });
        let (shown, paging) = page_of(&rows, &frame);
        (shown.len(), paging)
    }

    #[test]
    fn a_long_list_has_pages_and_a_short_one_has_none() {
        let (shown, first) = at("/jobs/1/findings?level=stop", 250);
        assert_eq!((shown, first.from, first.to, first.of, &first.before), (100, 1, 100, 250, &None));
        let next = first.after.unwrap();
        assert_eq!(next, "/jobs/1/findings?level=stop&page=2");
        let (shown, third) = at("/jobs/1/findings?page=3&level=stop", 250);
        assert_eq!((shown, third.from, third.to, &third.after), (50, 201, 250, &None));
        assert_eq!(third.before.unwrap(), "/jobs/1/findings?level=stop&page=2");
        let (shown, short) = at("/jobs/1/findings", 7);
        assert_eq!((shown, short.before, short.after), (7, None, None));
    }

    #[test]
    fn a_link_to_a_step_leads_to_the_page_that_has_it() {
        let rows: Vec<String> = (0..250).map(|number| format!("circuit/C{number}/test")).collect();
        let at = |path: &str| {
            let frame = Frame { path: path.to_owned(), ..Frame::default() };
            let (_, paging) = page_with(&rows, &frame, |row, step| row == step);
            (paging.from, paging.before)
        };
        let (from, before) = at("/x?step=circuit%2FC180%2Ftest");
        assert_eq!((from, before.unwrap()), (101, "/x?page=1".to_owned()));
        assert_eq!(at("/x?page=3&step=circuit/C180/test").0, 201, "the page that is asked for comes first");
        assert_eq!(at("/x?step=circuit/C999/test").0, 1);
    }

    #[test]
    fn a_page_that_is_not_there_is_the_last_one() {
        assert_eq!(at("/x?page=99", 250).1.from, 201);
        assert_eq!(at("/x?page=0", 250).1.from, 1);
        assert_eq!(at("/x?page=-1", 0).0, 0);
    }
}
