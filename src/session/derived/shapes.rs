//! Outlines of the parts.

use std::sync::Arc;

use crate::{
    document::Job,
    estimate,
    plate::{PartShape, Shapes},
    session::{
        Session,
        derived::{
            keys::{ShapeKey, linear, profile_key, shape_key},
            pending::Pending,
        },
        files::profile_store::{outline_hash, profile_hash},
        findings::beyond_beds::beyond_beds,
    },
    work::{Request, kept_outline},
};

impl Session {
    pub(super) fn refresh_shapes(&mut self, job: &Job) {
        let mut shapes = Shapes::new();
        for part in &job.parts {
            let Some(key) = shape_key(job, part) else { continue };
            if self.library.loaded(&part.mesh).is_none() {
                // A mesh that is missing is still drawn by the outline that it had: its content is the key.
                if let Some(shape) = self.last_known(key) {
                    shapes.insert(part.id, shape);
                }
                continue;
            }
            let Some(mesh) = self.solid(part) else {
                // While it is mended, its copies keep their old outline, too.
                if let Some(old) = self.caches.shapes.get(&part.id) {
                    shapes.insert(part.id, old.clone());
                }
                continue;
            };
            let linear = linear(job, part).unwrap_or_default();
            if let Some(shape) = self.caches.shapes_by_key.get(&key) {
                shapes.insert(part.id, shape.clone());
            } else {
                let first_layer_mm = f64::from_bits(key.3);
                let kept = self.outline_store.clone().map(|store| (store, outline_hash(&key)));
                self.ask_once(Pending::Shape(key.clone()), || Request::Shape {
                    mesh: mesh.clone(),
                    linear,
                    first_layer_mm,
                    kept,
                });
                // While a part is turned over, its copies keep their old outline until the new one is there.
                if let Some(old) = self.caches.shapes.get(&part.id) {
                    shapes.insert(part.id, old.clone());
                }
            }
            // No work goes into the layers of what no bed holds: there may be a hundred thousand of them, each as large as a house.
            if let Some(shape) = self.caches.shapes_by_key.get(&key)
                && beyond_beds(job, shape).is_none()
                && let Some(key) = profile_key(job, part)
                && !self.caches.profiles.contains_key(&key)
                && let Some(recipe) = job.recipe(part.recipe)
            {
                let kept = self.profile_store.clone().map(|store| (store, profile_hash(&key)));
                self.ask_once(Pending::Profile(key), || Request::Profile {
                    mesh,
                    linear,
                    recipe: Box::new(estimate::profile_recipe(recipe)),
                    kept,
                });
            }
        }
        let same = self.caches.shapes.len() == shapes.len()
            && self.caches.shapes.iter().zip(&shapes).all(|(a, b)| a.0 == b.0 && Arc::ptr_eq(a.1, b.1));
        if !same {
            self.caches.generation += 1;
            self.caches.prepared.keep_only(&shapes);
            self.caches.shapes = shapes;
        }
    }

    /// Outlines that a part had in this run or an earlier one.
    fn last_known(&mut self, key: ShapeKey) -> Option<Arc<PartShape>> {
        if self.library.is_awaited(&key.0) {
            return None;
        }
        if let Some(shape) = self.caches.shapes_by_key.get(&key) {
            return Some(shape.clone());
        }
        let store = self.outline_store.as_ref();
        let look = |key: &ShapeKey| {
            let hash = outline_hash(key);
            kept_outline(&hash, &store?.get(&hash)?).map(Arc::new)
        };
        self.caches.last_known.entry(key).or_insert_with_key(look).clone()
    }

    /// Takes in an answer for a cache. False when it was not one of these.
    pub(in crate::session) fn take_shape(&mut self, key: ShapeKey, shape: Arc<PartShape>) {
        let job = self.history.shared_job();
        let wanted = || job.parts.iter().filter_map(|p| shape_key(&job, p)).collect();
        self.caches.shapes_by_key.insert(key, shape, wanted);
        self.caches.generation += 1;
    }
}
