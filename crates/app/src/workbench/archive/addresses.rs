//! The list of archives is changed: addresses kept, renamed and taken out, and the secrets of those that are gone.

use plumbray_archive::{Address, AddressBook, AddressBookError, SecretPlace, forget_secret};

use super::{ASKING, AddressForm, ArchivePage, Said};
use crate::{
    words::counted,
    workbench::{Finished, Workbench},
};

impl Workbench {
    pub(super) fn keep_address(&mut self, form: &AddressForm) {
        let page = self.archives.page.as_ref();
        let changed = page.and_then(ArchivePage::changed).map(str::to_owned);
        let before = page.filter(|_| changed.is_some());
        let before = before.and_then(ArchivePage::chosen).cloned();
        match self.put_address(form, changed.as_deref()) {
            Ok(name) => {
                self.archives.drop_answers();
                if let Some(before) = &before {
                    self.archives.rename_origin(&before.name, &name);
                    self.forget_unused_secret(before);
                }
                if let Some(page) = &mut self.archives.page {
                    page.leave_address();
                    page.choose(name);
                }
            }
            Err(problem) => self.say_of_archive(Said::problem(problem)),
        }
        // What could not be sent for want of an address is looked at again.
        self.archives.queue.look_now();
    }

    /// Writes an address down, in the place of the one of the name that is changed; gives its name.
    fn put_address(&mut self, form: &AddressForm, changed: Option<&str>) -> Result<String, String> {
        let address = form.address().map_err(|unfit| unfit.to_string())?;
        let name = address.name.clone();
        if let Some(changed) = changed.filter(|changed| **changed != name) {
            // What waits goes by the name.
            let waiting = self.waiting_for(changed);
            if waiting > 0 {
                let objects = counted(waiting, "object waits", "objects wait");
                return Err(format!(
                    "{objects} to be sent to “{changed}”. Send or cancel first, then give it another name."
                ));
            }
        }
        self.change_book(|book| match changed {
            Some(changed) => book.change(changed, address),
            None => {
                book.check_is_free(&address.name)?;
                book.put(address)
            }
        })?;
        Ok(name)
    }

    /// How many objects wait to be sent to the archive of a name.
    #[must_use]
    pub fn waiting_for(&self, archive: &str) -> usize {
        let shown = self.queue_shown();
        let jobs = shown.jobs.iter();
        jobs.filter(|job| job.archive == archive).count()
    }

    /// Forgets the secret of an address that is no longer in the list, unless another archive of the list has it, too.
    fn forget_unused_secret(&mut self, address: &Address) {
        let page = self.archives.page.as_ref();
        let is_used = |place: &SecretPlace| page.is_some_and(|page| page.uses_secret_of(place));
        let place = address.secret_place().filter(|place| !is_used(place));
        if let Some(place) = place.filter(|_| self.places.asks_keyring) {
            self.jobs.start(ASKING, move || {
                let forgotten = forget_secret(&place);
                Finished::QueueAsked(forgotten.map_err(|problem| problem.to_string()))
            });
        }
    }

    pub(super) fn remove_address(&mut self) {
        let chosen = self.archives.page.as_ref().and_then(ArchivePage::chosen);
        let Some(address) = chosen.cloned() else {
            return;
        };
        if let Err(problem) = self.change_book(|book| book.remove(&address.name)) {
            self.say_of_archive(Said::problem(problem));
            return;
        }
        self.archives.drop_answers();
        if let Some(page) = &mut self.archives.page {
            page.leave_address();
            page.choose_first();
        }
        self.forget_unused_secret(&address);
    }

    /// Changes the address book as it is on disk now, where commands may have changed it.
    fn change_book(
        &mut self,
        change: impl FnOnce(&mut AddressBook) -> Result<(), AddressBookError>,
    ) -> Result<(), String> {
        let path = self.places.archives.as_deref();
        let path = path.ok_or_else(|| "this user has no folder for settings".to_owned())?;
        let changed = AddressBook::read(path).and_then(|mut book| {
            change(&mut book)?;
            book.write(path)?;
            Ok(book)
        });
        let book = changed.map_err(|problem| problem.to_string())?;
        if let Some(page) = &mut self.archives.page {
            page.take_book(Ok(book));
        }
        Ok(())
    }
}
