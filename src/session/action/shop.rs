//! The shop file: what new jobs begin with.

use std::path::PathBuf;

use crate::{
    document::{
        Shop,
        file::{self, SHOP_ENDING},
    },
    session::{Session, SessionError},
};

impl Session {
    fn shop_path(&self) -> Option<PathBuf> {
        self.own(&format!("shop.{SHOP_ENDING}"))
    }

    /// The shop file's content, or what a shop starts with.
    pub(in crate::session) fn shop(&mut self) -> Shop {
        let Some(path) = self.shop_path().filter(|p| self.world.exists(p)) else { return Shop::starter() };
        let read = self.read_path(&path).and_then(|bytes| Ok(file::read_shop(&bytes, &path.display().to_string())?));
        match read {
            Ok(shop) => shop,
            Err(why) => {
                self.tell_fault(why.to_string());
                Shop::starter()
            }
        }
    }

    pub(super) fn keep_as_shop(&mut self) -> Result<(), SessionError> {
        let job = self.job();
        let shop = Shop {
            machines: job.machines.clone(),
            materials: job.materials.clone(),
            recipes: job.recipes.clone(),
            spools: job.spools.clone(),
            currency: job.currency.clone(),
            shifts: crate::document::Shifts { start: None, ..job.shifts.clone() },
        };
        let path = self.shop_path().ok_or_else(|| SessionError::Other("there is no folder to keep it in".into()))?;
        self.write_own(&path, &file::write_shop(&shop)?)?;
        self.tell(format!("machines, materials, recipes and spools kept in {}", path.display()));
        Ok(())
    }

    pub(super) fn refresh_from_shop(&mut self, label: &str) {
        let shop = self.shop();
        let (job, changed) = self.job().refreshed(&shop);
        if changed.is_empty() {
            self.tell("nothing differs from the shop file");
            return;
        }
        self.change_to(label, job);
        self.tell(format!("refreshed: {}", changed.join(", ")));
    }
}
