//! A job's labels, with their text by the shop's rule.

use super::wires;
use crate::job::label::{Labels, Stock};
use crate::shop::labels::LabelSetting;
use crate::store::labels as kept;
use crate::web::kit::opened::Opened;
use crate::web::kit::{AppState, Error};

/// The labels of a whole job. A label's text does not depend on which labels are printed.
pub fn all(job: &Opened, setting: &LabelSetting, stock: &Stock) -> Labels {
    let size = |conductor: &_| wires::size_of(job, conductor);
    Labels::of(&job.plan, &job.conductors, size, &setting.rule, stock.limit)
}

/// The labels of a whole job as printed on the shop's usual sheet.
///
/// # Errors
///
/// [`Error`]: the shop's rule cannot be read.
pub async fn usual(app: &AppState, job: &Opened) -> Result<Labels, Error> {
    let setting = kept::get(&mut *app.store().read().await?).await?.value;
    let stock = setting.sheet(setting.stock);
    Ok(stock.map_or_else(Labels::default, |stock| all(job, &setting, &stock)))
}
