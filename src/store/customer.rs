//! The owner of the boat of a job. Customer data must be erasable, so it is in no history.

use sqlx::SqliteConnection;

use super::column::{JobId, Version};
use super::error::Result;
use crate::job::plan::Customer;
use crate::job::value::Name;

/// The customer of a job, if known.
pub(super) async fn get(conn: &mut SqliteConnection, job: JobId) -> Result<Option<Customer>> {
    let customer = sqlx::query_as!(
        Customer,
        r#"SELECT name AS "name: Name", contact AS "contact: Name" FROM customer WHERE job = ?"#,
        job
    );
    Ok(customer.fetch_optional(conn).await?)
}

/// Number of the change that last wrote or erased the customer; `None` for a job that does not exist.
pub(super) async fn version(conn: &mut SqliteConnection, job: JobId) -> Result<Option<Version>> {
    let version = sqlx::query_scalar!(r#"SELECT customer_no AS "no: Version" FROM job WHERE id = ?"#, job);
    Ok(version.fetch_optional(conn).await?)
}

/// Writes or erases the customer, as part of a change.
pub(super) async fn set(
    conn: &mut SqliteConnection,
    job: JobId,
    customer: Option<&Customer>,
    no: Version,
) -> Result<()> {
    sqlx::query!("DELETE FROM customer WHERE job = ?", job).execute(&mut *conn).await?;
    if let Some(Customer { name, contact }) = customer {
        sqlx::query!("INSERT INTO customer (job, name, contact) VALUES (?, ?, ?)", job, name, contact)
            .execute(&mut *conn)
            .await?;
    }
    sqlx::query!("UPDATE job SET customer_no = ? WHERE id = ?", no, job).execute(conn).await?;
    Ok(())
}
