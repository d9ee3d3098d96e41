//! Where to go after a form: only to a path of this site.

/// The path to go back to; the shop floor if the value sent is not a path of this site.
pub fn path(sent: &str) -> &str {
    let plain = sent.bytes().all(|byte| byte.is_ascii_graphic() && byte != b'\\');
    if plain && sent.starts_with('/') && !sent.starts_with("//") { sent } else { "/" }
}

#[cfg(test)]
mod tests {
    use super::path;

    #[test]
    fn only_paths_of_this_site_are_followed() {
        assert_eq!(path("/jobs/3/circuits?at=C01"), "/jobs/3/circuits?at=C01");
        for away in [
            "",
            "//elsewhere.example",
            "https://elsewhere.example",
            "/\\elsewhere",
            "/a\r\nSet-Cookie:x",
            "jobs",
        ] {
            assert_eq!(path(away), "/", "{away:?}");
        }
    }
}
