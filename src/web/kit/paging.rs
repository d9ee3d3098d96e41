//! Long lists in pages: the address says which page, and the list has links to the others.

use askama::Template;
use askama::filters::HtmlSafe;

use super::frame::Frame;

/// How many rows a page shows of a list.
const ROWS: usize = 100;

/// Which rows of a list are shown, with the links to the others. It shows nothing for a list of one page.
#[derive(Debug, Clone, PartialEq, Eq, Template)]
#[template(path = "partials/paging.html")]
pub struct Paging {
    /// The first shown row, counted from 1.
    from: usize,
    to: usize,
    of: usize,
    before: Option<String>,
    after: Option<String>,
}

impl HtmlSafe for Paging {}

impl Paging {
    /// The links for a page with two lists: those of the longer one.
    pub fn longer(self, other: Self) -> Self {
        if other.of > self.of { other } else { self }
    }
}

/// The rows of a list that the page at this address shows.
pub fn page_of<'a, T>(rows: &'a [T], frame: &Frame) -> (&'a [T], Paging) {
    let last = rows.len().saturating_sub(1) / ROWS;
    let (path, query) = frame.path.split_once('?').unwrap_or((&frame.path, ""));
    let query: Vec<(String, String)> = serde_urlencoded::from_str(query).unwrap_or_default();
    let asked = query.iter().find(|(name, _)| name == "page").and_then(|(_, page)| page.parse().ok());
    let here = asked.unwrap_or(1_usize).saturating_sub(1).min(last);
    let shown = rows.chunks(ROWS).nth(here).unwrap_or_default();
    let address = |page: usize| {
        let others = query.iter().filter(|(name, _)| name != "page").cloned();
        let query: Vec<_> = others.chain([("page".to_owned(), (page + 1).to_string())]).collect();
        serde_urlencoded::to_string(query).ok().map(|query| format!("{path}?{query}"))
    };
    let from = here * ROWS;
    let paging = Paging {
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
    fn a_page_that_is_not_there_is_the_last_one() {
        assert_eq!(at("/x?page=99", 250).1.from, 201);
        assert_eq!(at("/x?page=0", 250).1.from, 1);
        assert_eq!(at("/x?page=-1", 0).0, 0);
    }
}
