//! Markdown to HTML: headings and terms that a link can lead to, links between pages, and no raw HTML.

use std::fmt;

use askama::filters::HtmlSafe;
use pulldown_cmark::{CowStr, Event, HeadingLevel, Options, Parser, Tag, TagEnd, html};

use crate::web::kit::manual;

/// HTML made from the program's own Markdown.
#[derive(Debug, Default)]
pub struct Markup(String);

impl Markup {
    /// The HTML.
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl fmt::Display for Markup {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl HtmlSafe for Markup {}

/// A rendered page.
#[derive(Debug, Default)]
pub(super) struct Rendered {
    /// Its heading of the first level, which the layout shows.
    pub title: String,
    /// Everything below that heading.
    pub html: Markup,
    /// The page without markup, heading by heading.
    pub sections: Vec<Section>,
    /// Every anchor in it that a link can lead to.
    pub anchors: Vec<String>,
}

/// The section under one heading.
#[derive(Debug, Default)]
pub struct Section {
    /// The end of a link to it; `None` above the first heading.
    pub anchor: Option<String>,
    /// Its heading; empty above the first.
    pub heading: String,
    /// Its text without markup.
    pub text: String,
}

/// Renders one page.
pub(super) fn render(markdown: &str) -> Rendered {
    let events: Vec<Event<'_>> = Parser::new_ext(markdown, Options::ENABLE_TABLES).collect();
    let mut page = Rendered { sections: vec![Section::default()], ..Rendered::default() };
    let mut out = Vec::with_capacity(events.len());
    let mut at = 0;
    while let Some(event) = events.get(at) {
        at += 1;
        match event {
            Event::Start(Tag::Heading { level, .. }) => {
                let length = events.iter().skip(at).take_while(|event| !is_end_of_heading(event)).count();
                let inner = events.get(at..at + length).unwrap_or_default();
                page.heading(*level, inner, &mut out);
                at += length + 1;
            }
            Event::Start(Tag::Item) => {
                out.push(page.item(events.get(at..).unwrap_or_default()));
            }
            Event::Start(Tag::Link { link_type, dest_url, title, id }) => out.push(Event::Start(Tag::Link {
                link_type: *link_type,
                dest_url: destination(dest_url),
                title: title.clone(),
                id: id.clone(),
            })),
            Event::Html(text) | Event::InlineHtml(text) => {
                page.says(text);
                out.push(Event::Text(text.clone()));
            }
            other => {
                page.reads(other);
                out.push(other.clone());
            }
        }
    }
    let mut markup = String::new();
    html::push_html(&mut markup, out.into_iter());
    Rendered { html: Markup(markup.replace("<table>", "<table class=\"table\">")), ..page }
}

impl Rendered {
    fn heading<'e>(&mut self, level: HeadingLevel, inner: &[Event<'e>], out: &mut Vec<Event<'e>>) {
        let text: String = inner.iter().filter_map(text_of).collect();
        if level == HeadingLevel::H1 {
            self.title = text;
            return;
        }
        let anchor = slug::slugify(&text);
        let id = Some(CowStr::from(anchor.clone()));
        out.push(Event::Start(Tag::Heading { level, id, classes: Vec::new(), attrs: Vec::new() }));
        out.extend(inner.iter().cloned());
        out.push(Event::End(TagEnd::Heading(level)));
        self.anchors.push(anchor.clone());
        self.sections.push(Section { anchor: Some(anchor), heading: text, text: String::new() });
    }

    /// A list item that starts with a term in code gets the term as its anchor.
    fn item<'e>(&mut self, rest: &[Event<'e>]) -> Event<'e> {
        let first = rest.iter().find(|event| !matches!(event, Event::Start(Tag::Paragraph)));
        match first {
            Some(Event::Code(term)) => {
                let anchor = slug::slugify(term);
                let start = format!("<li id=\"{anchor}\">");
                self.anchors.push(anchor);
                Event::Html(CowStr::from(start))
            }
            _ => Event::Start(Tag::Item),
        }
    }

    fn reads(&mut self, event: &Event<'_>) {
        match event {
            Event::End(TagEnd::Paragraph | TagEnd::Item | TagEnd::TableCell | TagEnd::CodeBlock) => {
                self.says(" ")
            }
            other => {
                if let Some(text) = text_of(other) {
                    self.says(text);
                }
            }
        }
    }

    fn says(&mut self, text: &str) {
        if let Some(section) = self.sections.last_mut() {
            section.text.push_str(text);
        }
    }
}

fn is_end_of_heading(event: &Event<'_>) -> bool {
    matches!(event, Event::End(TagEnd::Heading(_)))
}

fn text_of<'t>(event: &'t Event<'_>) -> Option<&'t str> {
    match event {
        Event::Text(text) | Event::Code(text) => Some(text),
        Event::SoftBreak | Event::HardBreak => Some(" "),
        _ => None,
    }
}

/// Pages link to each other by file name, so that links also work where the files are read directly.
fn destination<'e>(link: &CowStr<'e>) -> CowStr<'e> {
    let (file, anchor) = link.split_once('#').map_or((&**link, None), |(file, anchor)| (file, Some(anchor)));
    let Some(name) = file.strip_suffix(".md") else { return link.clone() };
    CowStr::from(match anchor {
        Some(anchor) => format!("{}#{anchor}", manual::address(name)),
        None => manual::address(name),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn headings_and_terms_can_be_linked_to() {
        let page = render("# Fuses\nOn top.\n\n## Interrupt rating\nText.\n\n- `unfed` (fix): No source.\n");
        assert_eq!(page.title, "Fuses");
        assert_eq!(page.anchors, ["interrupt-rating", "unfed"]);
        assert!(
            page.html.as_str().contains("<h2 id=\"interrupt-rating\">Interrupt rating</h2>"),
            "{}",
            page.html
        );
        assert!(
            page.html.as_str().contains("<li id=\"unfed\"><code>unfed</code> (fix): No source.</li>"),
            "{}",
            page.html
        );
        assert!(!page.html.as_str().contains("<h1"), "the layout writes it: {}", page.html);
        let [top, below] = page.sections.as_slice() else { panic!("{:?}", page.sections) };
        assert_eq!((top.text.trim(), below.heading.as_str()), ("On top.", "Interrupt rating"));
    }

    #[test]
    fn html_in_a_help_page_is_shown_as_text() {
        let page = render("# A\nOne <script>alert(1)</script> two.\n\n<div>three</div>\n");
        assert!(
            !page.html.as_str().contains("<script") && !page.html.as_str().contains("<div"),
            "{}",
            page.html
        );
        assert!(page.html.as_str().contains("&lt;script&gt;"), "{}", page.html);
    }

    #[test]
    fn links_between_files_become_links_between_pages() {
        let page = render("# A\n[drop](circuits.md#voltage-drop), [home](/), [more](runs.md)\n");
        for address in ["href=\"/help/circuits#voltage-drop\"", "href=\"/\"", "href=\"/help/runs\""] {
            assert!(page.html.as_str().contains(address), "{}", page.html);
        }
    }
}
