//! The location of the shop's data.

use std::env;
use std::path::PathBuf;

/// The option for the data folder, which all commands that open it share.
#[derive(Debug, Clone, clap::Args)]
pub struct Data {
    /// Folder of the shop's data [default: driploop in the XDG data directory]
    #[arg(long, env = "DRIPLOOP_DATA", value_name = "DIR")]
    data: Option<PathBuf>,
}

impl Data {
    /// The given folder, or the default: `$XDG_DATA_HOME/driploop`, or `~/.local/share/driploop`. `None` if the
    /// user has no home folder.
    pub fn folder(&self) -> Option<PathBuf> {
        self.data.clone().or_else(|| usual(env::var_os("XDG_DATA_HOME").map(PathBuf::from), env::home_dir()))
    }
}

/// The default folder. By the XDG base directory rule, a relative path in the variable is ignored.
fn usual(xdg: Option<PathBuf>, home: Option<PathBuf>) -> Option<PathBuf> {
    let base = xdg.filter(|path| path.is_absolute()).or_else(|| Some(home?.join(".local/share")))?;
    Some(base.join("driploop"))
}

#[cfg(test)]
mod tests {
    use super::usual;

    #[test]
    fn the_usual_folder_follows_the_xdg_rule() {
        let path = |xdg: &str| usual(Some(xdg.into()), Some("/home/ines".into()));
        assert_eq!(path("/data"), Some("/data/driploop".into()));
        assert_eq!(path("data"), Some("/home/ines/.local/share/driploop".into()));
        assert_eq!(usual(None, None), None);
    }
}
