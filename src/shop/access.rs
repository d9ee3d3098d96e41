//! Who sees which job, and who may do what on it. The guard of the routes and every list of jobs ask [`Access`];
//! nothing else decides.
//!
//! A job has a key of the caller's own type `J`, because no job is loaded here.

use std::collections::BTreeSet;

use serde::{Deserialize, Serialize};

use super::job_state::JobState;
use super::role::{Permission, Role};
use crate::job::work::Who;

/// Somebody who asks, with everything that decides about the answer.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Access<J> {
    /// A person of the shop.
    Person {
        /// The person's role.
        role: Role,
        /// How the person proved who they are.
        proof: Proof,
        /// The jobs granted to the person. They count for a viewer only; the other roles see every job.
        granted: BTreeSet<J>,
    },
    /// Somebody with the link of one job, such as the customer. They are not a person of the shop.
    Holder {
        /// The one job.
        job: J,
    },
}

/// How a person proved who they are at this device.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Proof {
    /// With the passphrase.
    Passphrase,
    /// With the PIN of the quick switch, on a device that somebody signed in.
    Pin,
}

/// A job that a request is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct OnJob<J> {
    /// Its key.
    pub id: J,
    /// Its state.
    pub state: JobState,
}

/// Which jobs a list shows.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Scope<J> {
    /// Every job.
    All,
    /// These jobs only.
    Only(BTreeSet<J>),
}

/// Why a request is refused.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Refused {
    /// The job is not theirs to see. The answer is the same as for a job that does not exist.
    Unseen,
    /// It needs this role or a higher one.
    Role(Role),
    /// The job is not open.
    NotOpen(JobState),
    /// It needs the passphrase, and the session began with a PIN.
    Passphrase,
}

impl<J: Copy + Ord> Access<J> {
    /// The jobs that they see.
    pub fn scope(&self) -> Scope<J> {
        match self {
            Self::Person { role, granted, .. } if role.sees_granted_only() => Scope::Only(granted.clone()),
            Self::Person { .. } => Scope::All,
            Self::Holder { job } => Scope::Only(BTreeSet::from([*job])),
        }
    }

    /// Whether they see a job.
    pub fn may_see(&self, job: J) -> bool {
        match self {
            Self::Person { role, granted, .. } => !role.sees_granted_only() || granted.contains(&job),
            Self::Holder { job: own } => *own == job,
        }
    }

    /// Whether they may open the page of an action, on a job or in the shop. Nothing is changed by that, so no
    /// passphrase is needed.
    ///
    /// # Errors
    ///
    /// The reason, if they may not.
    pub fn may_open(&self, action: Permission, job: Option<OnJob<J>>) -> Result<(), Refused> {
        if job.is_some_and(|job| !self.may_see(job.id)) {
            return Err(Refused::Unseen);
        }
        match self {
            Self::Person { role, .. } if !role.may(action) => return Err(Refused::Role(action.least())),
            Self::Holder { .. } if job.is_none() => return Err(Refused::Unseen),
            Self::Holder { .. } if action != Permission::Look => return Err(Refused::Role(action.least())),
            _ => {}
        }
        match job.map(|job| job.state) {
            Some(state) if state != JobState::Open && action.is_work() => Err(Refused::NotOpen(state)),
            _ => Ok(()),
        }
    }

    /// Whether they may do an action, on a job or in the shop.
    ///
    /// # Errors
    ///
    /// The reason, if they may not.
    pub fn may(&self, action: Permission, job: Option<OnJob<J>>) -> Result<(), Refused> {
        self.may_open(action, job)?;
        if action.needs_passphrase() { self.proven() } else { Ok(()) }
    }

    /// Whether they may let a step pass, or accept its result, where it takes this person of the shop. A release and
    /// a waiver carry a name for as long as the boat lives, so they need the passphrase.
    ///
    /// # Errors
    ///
    /// The reason, if they may not.
    pub fn may_accept(&self, by: Who, job: Option<OnJob<J>>) -> Result<(), Refused> {
        self.may(Permission::to_accept(by), job)
    }

    /// Who they are in the table of hold points; `None` for somebody who may not even mark a step.
    pub fn who(&self, job: Option<OnJob<J>>) -> Option<Who> {
        let all = [Who::Manager, Who::Technician, Who::Apprentice];
        all.into_iter().find(|who| self.may_open(Permission::to_accept(*who), job).is_ok())
    }

    /// Whether they gave the passphrase in this session. Nothing that signs a person in is changed without it.
    ///
    /// # Errors
    ///
    /// [`Refused::Passphrase`].
    pub fn proven(&self) -> Result<(), Refused> {
        if self.is_by_pin() { Err(Refused::Passphrase) } else { Ok(()) }
    }

    /// Whether the session began with a PIN.
    pub fn is_by_pin(&self) -> bool {
        matches!(self, Self::Person { proof: Proof::Pin, .. })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const OPEN: OnJob<i64> = OnJob { id: 1, state: JobState::Open };

    fn person(role: Role, proof: Proof) -> Access<i64> {
        Access::Person { role, proof, granted: BTreeSet::from([1]) }
    }

    #[test]
    fn a_viewer_sees_the_granted_jobs_and_the_others_see_every_job() {
        for role in Role::ALL {
            let access = person(role, Proof::Passphrase);
            assert!(access.may_see(1), "{role}");
            assert_eq!(access.may_see(2), role != Role::Viewer, "{role}");
        }
        let viewer = person(Role::Viewer, Proof::Passphrase);
        assert_eq!(viewer.scope(), Scope::Only(BTreeSet::from([1])));
        assert_eq!(person(Role::Apprentice, Proof::Pin).scope(), Scope::All);
        assert_eq!(viewer.may_open(Permission::Look, Some(OnJob { id: 2, ..OPEN })), Err(Refused::Unseen));
        assert_eq!(viewer.may(Permission::Tick, Some(OnJob { id: 2, ..OPEN })), Err(Refused::Unseen));
        assert_eq!(viewer.may(Permission::Tick, Some(OPEN)), Err(Refused::Role(Role::Apprentice)));
    }

    #[test]
    fn every_role_may_do_what_its_role_allows_and_a_pin_allows_no_act_that_needs_the_passphrase() {
        for role in Role::ALL {
            for action in Permission::ALL {
                for job in [None, Some(OPEN)] {
                    let sure = person(role, Proof::Passphrase).may(action, job);
                    let by_pin = person(role, Proof::Pin).may(action, job);
                    if !role.may(action) {
                        assert_eq!(sure, Err(Refused::Role(action.least())), "{role} {action:?}");
                        assert_eq!(by_pin, sure, "{role} {action:?}");
                    } else if action.needs_passphrase() {
                        assert_eq!((sure, by_pin), (Ok(()), Err(Refused::Passphrase)), "{role} {action:?}");
                        assert_eq!(person(role, Proof::Pin).may_open(action, job), Ok(()), "looking");
                    } else {
                        assert_eq!((sure, by_pin), (Ok(()), Ok(())), "{role} {action:?}");
                    }
                }
            }
        }
    }

    #[test]
    fn a_release_or_waiver_needs_its_person_and_the_passphrase() {
        let persons = [Who::Apprentice, Who::Technician, Who::Manager];
        for (role, least) in [(Role::Apprentice, 1), (Role::Technician, 2), (Role::Manager, 3)] {
            for proof in [Proof::Passphrase, Proof::Pin] {
                let access = person(role, proof);
                assert_eq!(
                    access.who(Some(OPEN)),
                    persons.get(least - 1).copied(),
                    "{role}: a PIN hides nothing"
                );
                for (rank, by) in (1..).zip(persons) {
                    let expected = match (rank <= least, by, proof) {
                        (false, ..) => Err(Refused::Role(Permission::to_accept(by).least())),
                        (true, Who::Apprentice, _) | (true, _, Proof::Passphrase) => Ok(()),
                        (true, _, Proof::Pin) => Err(Refused::Passphrase),
                    };
                    assert_eq!(access.may_accept(by, Some(OPEN)), expected, "{role} {by:?} {proof:?}");
                }
            }
        }
        assert_eq!(person(Role::Viewer, Proof::Passphrase).who(Some(OPEN)), None);
        assert_eq!(person(Role::Manager, Proof::Pin).proven(), Err(Refused::Passphrase));
    }

    #[test]
    fn a_job_that_is_not_open_takes_no_work_and_can_be_reopened() {
        let manager = person(Role::Manager, Proof::Passphrase);
        for state in [JobState::PutAside, JobState::Closed] {
            let job = Some(OnJob { id: 1, state });
            for action in Permission::ALL {
                let expected = if action.is_work() { Err(Refused::NotOpen(state)) } else { Ok(()) };
                assert_eq!(manager.may(action, job), expected, "{action:?}");
            }
        }
    }

    #[test]
    fn a_holder_looks_at_one_job_and_at_nothing_else() {
        let holder = Access::Holder { job: 1 };
        assert!(holder.may_see(1) && !holder.may_see(2));
        assert_eq!(holder.scope(), Scope::Only(BTreeSet::from([1])));
        for action in Permission::ALL {
            let expected =
                if action == Permission::Look { Ok(()) } else { Err(Refused::Role(action.least())) };
            assert_eq!(holder.may(action, Some(OPEN)), expected, "{action:?}");
            assert_eq!(holder.may(action, Some(OnJob { id: 2, ..OPEN })), Err(Refused::Unseen), "{action:?}");
            assert_eq!(holder.may(action, None), Err(Refused::Unseen), "{action:?}: a page of the shop");
        }
        assert_eq!(holder.may(Permission::Look, Some(OnJob { id: 1, state: JobState::Closed })), Ok(()));
    }
}
