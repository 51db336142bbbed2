//! Small pictures of films as they lie on the graphics processor between frames.

use std::{collections::BTreeMap, sync::Arc};

use egui::{ColorImage, TextureHandle, TextureOptions, Ui};

use crate::workbench::GreyPicture;

/// The small pictures of a list, by what they are of.
pub(super) struct SmallPictures<Key> {
    kept: BTreeMap<Key, (Arc<GreyPicture>, TextureHandle)>,
}

impl<Key> Default for SmallPictures<Key> {
    fn default() -> Self {
        Self {
            kept: BTreeMap::new(),
        }
    }
}

impl<Key> std::fmt::Debug for SmallPictures<Key> {
    fn fmt(&self, formatter: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        formatter
            .debug_struct("SmallPictures")
            .field("count", &self.kept.len())
            .finish()
    }
}

impl<Key: Ord> SmallPictures<Key> {
    /// A picture on the graphics processor: brought there once, and again when it is another picture.
    pub(super) fn texture(
        &mut self,
        ui: &Ui,
        key: Key,
        picture: &Arc<GreyPicture>,
    ) -> TextureHandle {
        match self.kept.get(&key) {
            Some((kept, texture)) if Arc::ptr_eq(kept, picture) => texture.clone(),
            _ => {
                let image = ColorImage::from_gray(picture.size, &picture.greys);
                let texture = ui
                    .ctx()
                    .load_texture("small film", image, TextureOptions::LINEAR);
                let kept = (Arc::clone(picture), texture.clone());
                self.kept.insert(key, kept);
                texture
            }
        }
    }

    /// Lets go every picture that is no longer the one of its key.
    pub(super) fn forget_all_but<'now>(
        &mut self,
        now: impl Fn(&Key) -> Option<&'now Arc<GreyPicture>>,
    ) {
        self.kept
            .retain(|key, (kept, _)| now(key).is_some_and(|now| Arc::ptr_eq(now, kept)));
    }
}
