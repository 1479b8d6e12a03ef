//! Adding an account from the command line: how the first educator gets in.

use super::{Ground, Stopped, say};
use crate::clock::Clock;
use crate::desk::add_account::{NewAccount, NewMember};
use crate::desk::{self, DeskError};
use crate::settings::Env;
use clap::Args;
use std::io::{BufRead, IsTerminal};
use uuid::Uuid;
use wormrota_domain::access::Role;
use wormrota_domain::ids::SiteId;

#[derive(Debug, Args)]
pub(super) struct AddAccount {
    /// The address to sign in with.
    email: String,
    /// Let the account open sites.
    #[arg(long)]
    educator: bool,
    /// Make it a member of this site; needs --role and --name.
    #[arg(long, requires = "role", requires = "name")]
    site: Option<Uuid>,
    /// What it is at the site; may be given several times.
    #[arg(long, requires = "site", value_parser = role)]
    role: Vec<Role>,
    /// What people at the site call its owner.
    #[arg(long, requires = "site")]
    name: Option<String>,
    /// The flat, where there are flats.
    #[arg(long, requires = "site")]
    flat: Option<String>,
}

pub(super) fn add_account(env: &Env, arguments: AddAccount) -> Result<(), Stopped> {
    let stdin = std::io::stdin();
    if stdin.is_terminal() {
        say::prompt("Password (it will be shown as you type): ");
    }
    let password = first_line(&mut stdin.lock())?;
    let new = NewAccount {
        email: arguments.email,
        password,
        is_educator: arguments.educator,
        member: arguments.site.map(|site| NewMember {
            site: SiteId(site),
            roles: arguments.role,
            name: arguments.name.unwrap_or_default(),
            flat: arguments.flat,
        }),
    };
    let ground = Ground::enter(env)?;
    let added = ground
        .insist_on_migrations()
        .and_then(|()| ground.desk(Clock::System))
        .and_then(|desk| {
            ground.runtime.block_on(async {
                let now = desk.now().await?;
                desk::add_account::add_account(&desk, new, now)
                    .await
                    .map_err(in_words)
            })
        });
    let left = ground.leave();
    say::line(&format!("Added account {}", added?));
    left
}

fn first_line(input: &mut impl BufRead) -> Result<String, Stopped> {
    let mut line = String::new();
    input.read_line(&mut line)?;
    let password = line.trim_end_matches(['\r', '\n']);
    if password.is_empty() {
        return Err("no password: it is read from the first line of standard input".into());
    }
    Ok(password.to_owned())
}

fn in_words(error: DeskError) -> Stopped {
    match error {
        DeskError::Invalid(fields) | DeskError::Conflicting(fields) => {
            let fields: Vec<_> = fields
                .iter()
                .map(|field| format!("{} {}", field.pointer.trim_start_matches('/'), field.detail))
                .collect();
            fields.join("; ").into()
        }
        other => other.into(),
    }
}

fn role(code: &str) -> Result<Role, String> {
    Role::from_code(code).ok_or_else(|| {
        let codes: Vec<_> = Role::ALL.iter().map(|role| role.code()).collect();
        format!("a role is one of {}", codes.join(", "))
    })
}
