//! `driploop user`: manages the shop's people from the command line, for the first account and if the last
//! passphrase is forgotten.

use std::io::{self, BufRead, IsTerminal, Write};

use jiff::Timestamp;

use super::data::Data;
use super::open::{actor, with_store};
use super::outcome::{Error, Outcome};
use crate::job::value::Name;
use crate::shop::role::Role;
use crate::shop::secret::Passphrase;
use crate::store::people::{self, Newcomer, Person};
use crate::store::{self, Hashed, Store};

/// The arguments of `driploop user`.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// Action to do
    #[command(subcommand)]
    pub what: UserCommand,
    #[command(flatten)]
    data: Data,
}

/// The actions on people.
#[derive(Debug, clap::Subcommand)]
pub enum UserCommand {
    /// Add a person; enter the passphrase when prompted, or as one line of standard input
    Add {
        /// The name, as typed at sign-in
        name: Name,
        /// Their role: manager, technician, apprentice or viewer
        #[arg(long)]
        role: Role,
    },
    /// Set a new passphrase for a person and sign them out everywhere
    Passphrase {
        /// The name
        name: Name,
    },
    /// Disable the sign-in of a person
    Disable {
        /// The name
        name: Name,
    },
    /// Enable the sign-in of a person again
    Enable {
        /// The name
        name: Name,
    },
    /// List all people
    List,
}

/// Does the action and prints the result.
///
/// # Errors
///
/// [`Error`] if a passphrase is not accepted, nobody has that name, or the data cannot be opened.
pub fn run(args: &Args, out: &mut impl Write) -> Result<Outcome, Error> {
    let said = match &args.what {
        UserCommand::Add { name, role } => {
            let passphrase = ask()?;
            with_store(&args.data, async |store| add(store, name, *role, &passphrase).await)?
        }
        UserCommand::Passphrase { name } => {
            let passphrase = ask()?;
            with_store(&args.data, async |store| set_passphrase(store, name, &passphrase).await)?
        }
        UserCommand::Disable { name } => {
            with_store(&args.data, async |store| enable(store, name, false).await)?
        }
        UserCommand::Enable { name } => {
            with_store(&args.data, async |store| enable(store, name, true).await)?
        }
        UserCommand::List => with_store(&args.data, list)?,
    };
    writeln!(out, "{said}")?;
    Ok(Outcome::Well)
}

async fn add(store: &Store, name: &Name, role: Role, passphrase: &Passphrase) -> Result<String, Error> {
    let newcomer =
        Newcomer { name: name.clone(), role, passphrase: Hashed::passphrase(passphrase).await?, pin: None };
    let mut write = store.write(&actor()?, Timestamp::now()).await?;
    people::add(&mut write, &newcomer).await?;
    write.commit().await?;
    Ok(format!("{name} is in the shop now, as {role}"))
}

async fn set_passphrase(store: &Store, name: &Name, passphrase: &Passphrase) -> Result<String, Error> {
    let hashed = Hashed::passphrase(passphrase).await?;
    let person = named(store, name).await?;
    let mut write = store.write(&actor()?, Timestamp::now()).await?;
    people::set_passphrase(&mut write, person.id, &hashed).await?;
    write.commit().await?;
    Ok(format!("{name} has a new passphrase and is signed out everywhere"))
}

async fn enable(store: &Store, name: &Name, enabled: bool) -> Result<String, Error> {
    let person = named(store, name).await?;
    let mut write = store.write(&actor()?, Timestamp::now()).await?;
    people::enable(&mut write, person.id, enabled).await?;
    write.commit().await?;
    Ok(format!("{name} may {}", if enabled { "sign in again" } else { "sign in no more" }))
}

async fn list(store: &Store) -> Result<String, Error> {
    let everybody = people::all(&mut *store.read().await?).await?.into_iter().map(|person| {
        let Person { name, role, enabled, .. } = person.value;
        format!("{name}: {role}{}", if enabled { "" } else { ", disabled" })
    });
    Ok(everybody.collect::<Vec<_>>().join("\n"))
}

async fn named(store: &Store, name: &Name) -> Result<Person, Error> {
    let person = people::named(&mut *store.read().await?, name.as_str()).await?;
    Ok(person.ok_or_else(|| store::Error::NotFound(format!("person '{name}'")))?)
}

/// Reads a passphrase: twice and hidden from a terminal, or as one line from another program.
fn ask() -> Result<Passphrase, Error> {
    let typed = if io::stdin().is_terminal() {
        let typed = rpassword::prompt_password("Passphrase: ").map_err(Error::NoPassphrase)?;
        if rpassword::prompt_password("The same again: ").map_err(Error::NoPassphrase)? != typed {
            return Err(Error::PassphrasesDiffer);
        }
        typed
    } else {
        let mut line = String::new();
        io::stdin().lock().read_line(&mut line).map_err(Error::NoPassphrase)?;
        line.trim_end_matches(['\r', '\n']).to_owned()
    };
    Ok(typed.parse()?)
}
