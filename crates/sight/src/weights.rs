//! Weights as they were learned: the safetensors layout, 16 bit floats.
//!
//! The files in `weights/` are made by `training/learn.py` and built in, so
//! that they cannot be missing; what is wrong with them is a bug of ours and
//! every test that uses a network would find it.

use crate::kernel::Kernel;
use half::f16;
use safetensors::SafeTensors;
use std::sync::OnceLock;

/// Weights that stand in for the built-in ones: the rings', and the scene's.
static INSTALLED: OnceLock<(Vec<u8>, Vec<u8>)> = OnceLock::new();

/// Puts other weights in place of the built-in ones, for the whole process: to
/// measure photos with weights that were not learned from them. They must be set
/// before the first photo is read; both are weight files in the safetensors
/// layout. Returns whether they were taken; only the first are.
pub fn install(rings: Vec<u8>, scene: Vec<u8>) -> bool {
    INSTALLED.set((rings, scene)).is_ok()
}

/// The ring network's weights.
pub(crate) fn rings() -> &'static [u8] {
    INSTALLED.get().map_or(
        include_bytes!("../weights/rings.safetensors"),
        |(rings, _)| rings,
    )
}

/// The scene network's weights.
pub(crate) fn scene() -> &'static [u8] {
    INSTALLED.get().map_or(
        include_bytes!("../weights/scene.safetensors"),
        |(_, scene)| scene,
    )
}

/// The weights of one network, by name.
pub(crate) struct Weights<'a>(SafeTensors<'a>);

impl<'a> Weights<'a> {
    /// # Panics
    /// When the built-in bytes are not a weight file.
    pub(crate) fn of(bytes: &'a [u8]) -> Self {
        Self(SafeTensors::deserialize(bytes).expect("the built-in weights are whole"))
    }

    fn values(&self, name: &str) -> Vec<f32> {
        let tensor = self
            .0
            .tensor(name)
            .unwrap_or_else(|_| panic!("the built-in weights hold {name}"));
        tensor
            .data()
            .chunks_exact(2)
            .map(|pair| f16::from_le_bytes([pair[0], pair[1]]).to_f32())
            .collect()
    }

    /// The layer of that name; all axes but the first are laid in one.
    pub(crate) fn kernel(&self, name: &str) -> Kernel {
        let weight = self.values(&format!("{name}.weight"));
        let bias = self.values(&format!("{name}.bias"));
        Kernel::of(&weight, &bias)
    }
}
