//! Which material and which environment: numbers that cannot be taken for one another.

use std::ops::{Index, IndexMut};

use super::Environment;
use crate::material::Material;

macro_rules! id {
    ($name:ident, $item:ty, $what:literal) => {
        #[doc = concat!("Which ", $what, " of a model.")]
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub struct $name(usize);

        impl $name {
            /// The one of that number, from 0.
            pub const fn new(number: usize) -> Self {
                Self(number)
            }

            /// Its number, from 0.
            pub const fn index(self) -> usize {
                self.0
            }

            /// All of so many.
            pub fn all(count: usize) -> impl DoubleEndedIterator<Item = Self> + ExactSizeIterator + Clone {
                (0..count).map(Self)
            }
        }

        impl Index<$name> for Vec<$item> {
            type Output = $item;

            fn index(&self, id: $name) -> &$item {
                &self.as_slice()[id.0]
            }
        }

        impl IndexMut<$name> for Vec<$item> {
            fn index_mut(&mut self, id: $name) -> &mut $item {
                &mut self.as_mut_slice()[id.0]
            }
        }
    };
}

id!(MaterialId, Material, "material");
id!(EnvironmentId, Environment, "environment");

macro_rules! by_environment {
    ($($item:ty),+) => {$(
        /// Values environment by environment.
        impl Index<EnvironmentId> for [$item] {
            type Output = $item;

            fn index(&self, id: EnvironmentId) -> &$item {
                &self[id.0]
            }
        }

        impl IndexMut<EnvironmentId> for [$item] {
            fn index_mut(&mut self, id: EnvironmentId) -> &mut $item {
                &mut self[id.0]
            }
        }

        impl Index<EnvironmentId> for Vec<$item> {
            type Output = $item;

            fn index(&self, id: EnvironmentId) -> &$item {
                &self.as_slice()[id.0]
            }
        }

        impl IndexMut<EnvironmentId> for Vec<$item> {
            fn index_mut(&mut self, id: EnvironmentId) -> &mut $item {
                &mut self.as_mut_slice()[id.0]
            }
        }
    )+};
}

by_environment!(f64, bool, Option<f64>);
