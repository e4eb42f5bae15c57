//! What pictures of a pull share: each plate's grain, what of it lies under a window, and what meets there. Inks, traps, the lamp and a bare
//! sheet are none of its business: another makes none of it anew.

use super::Progress;
use super::pull::{GroundsKey, Set, ZonesKey};
use crate::settings::{EdgeChoice, GrainChoice};
use std::rc::Rc;
use stepbite_core::proof::Window;
use stepbite_core::pull::{self, Joint, Misfit, Pits, Pull, Shares};

/// Bytes of shares that are kept, and as many of joints; what the picture at hand needs in any case.
const KEPT_BYTES: usize = 96 << 20;

/// A plate's tones and grain: the plate at hand by its plan, grain and edges, or one that was brought in.
#[derive(Clone, Debug, PartialEq)]
enum PlateKey {
    Own(u64, GrainChoice, Option<EdgeChoice>),
    Brought(String),
}

/// What a plate's shares hang on.
#[derive(Clone, Debug, PartialEq)]
struct SharesKey {
    plate: PlateKey,
    apart: u64,
    misfit: Misfit,
    window: Window,
    grain: bool,
}

impl SharesKey {
    /// Whether what was made by this serves where the other is asked for: what has its grain can be looked at without.
    fn serves(&self, asked: &Self) -> bool {
        (self.grain || !asked.grain) && Self { grain: asked.grain, ..self.clone() } == *asked
    }
}

impl JointKey {
    fn serves(&self, asked: &Self) -> bool {
        (&self.grounds, &self.zones, self.shares.len()) == (&asked.grounds, &asked.zones, asked.shares.len())
            && self.shares.iter().zip(&asked.shares).all(|(kept, asked)| kept.serves(asked))
    }
}

/// What it hangs on where things meet.
#[derive(Clone, Debug, PartialEq)]
struct JointKey {
    shares: Vec<SharesKey>,
    /// Papers laid in, with the sheet: which of them lies where hangs on their colours too, where there are too many to tell apart.
    grounds: Option<GroundsKey>,
    zones: Option<ZonesKey>,
}

/// What was last made, the last used last.
#[derive(Default)]
pub(super) struct Looked {
    pits: Vec<((PlateKey, u64), Rc<Pits>)>,
    shares: Vec<(SharesKey, Rc<Shares>)>,
    joints: Vec<(JointKey, Rc<Joint>)>,
}

impl Looked {
    /// What meets under a window, with grain or without; made, or taken over where nothing it hangs on has changed.
    pub(super) fn joint(&mut self, set: &Set, pull: &Pull<'_>, window: &Window, grain: bool, progress: Progress<'_>) -> Rc<Joint> {
        let window = window.print_view();
        let keys: Vec<SharesKey> = (set.plates.iter().zip(pull.printings).enumerate())
            .map(|(p, (plate, printing))| {
                let own = || PlateKey::Own(set.stamp, set.seed, set.edges.clone());
                let plate = if plate.key.is_empty() { own() } else { PlateKey::Brought(plate.key.clone()) };
                SharesKey { plate, apart: pull.apart(p), misfit: printing.misfit, window, grain }
            })
            .collect();
        let key = JointKey { shares: keys, grounds: set.grounds_key.clone(), zones: set.zones.clone() };
        if let Some(at) = self.joints.iter().position(|(of, _)| of.serves(&key)) {
            let (of, joint) = self.joints.remove(at);
            // Its shares were used as well.
            let (used, rest) =
                std::mem::take(&mut self.shares).into_iter().partition(|(kept, _)| of.shares.iter().any(|asked| kept.serves(asked)));
            self.shares = rest;
            self.shares.extend::<Vec<_>>(used);
            self.joints.push((of, Rc::clone(&joint)));
            return joint;
        }
        let seen = self.shares(&key.shares, pull, progress);
        let joint = Rc::new(Joint::of(pull, &seen, &window));
        self.joints.retain(|(of, _)| !key.serves(of));
        self.joints.push((key, Rc::clone(&joint)));
        self.tidy(seen.len());
        joint
    }

    /// Forgets all of it.
    pub(super) fn forget(&mut self) {
        *self = Self::default();
    }

    /// Forgets all that was made of a plate that was brought in.
    pub(super) fn forget_plate(&mut self, id: &str) {
        let of = PlateKey::Brought(id.to_owned());
        self.pits.retain(|((plate, _), _)| *plate != of);
        self.shares.retain(|(key, _)| key.plate != of);
        self.joints.retain(|(key, _)| key.shares.iter().all(|key| key.plate != of));
    }

    fn shares(&mut self, keys: &[SharesKey], pull: &Pull<'_>, progress: Progress<'_>) -> Vec<Rc<Shares>> {
        let count = keys.len() as f32;
        // A plate that is changed leaves no grain behind.
        self.pits.retain(|((plate, apart), _)| keys.iter().any(|key| key.plate == *plate && key.apart == *apart));
        let mut seen = vec![];
        for (p, (key, printing)) in keys.iter().zip(pull.printings).enumerate() {
            let mut heard = |share: f32| progress("proof", (p as f32 + share) / count);
            if let Some(at) = self.shares.iter().position(|(of, _)| of.serves(key)) {
                let (of, shares) = self.shares.remove(at);
                seen.push(Rc::clone(&shares));
                self.shares.push((of, shares));
                continue;
            }
            let shares = match key.grain {
                false => Rc::new(pull::bare(printing, &key.window)),
                true => {
                    let pits = self.pits(key, printing, &mut |share| heard(0.7 * share));
                    let mut rest = |share: f32| heard(0.7 + 0.3 * share);
                    Rc::new(pull::shares(printing, key.apart, pits.as_deref(), &key.window, &mut rest))
                }
            };
            self.shares.retain(|(of, _)| !key.serves(of));
            self.shares.push((key.clone(), Rc::clone(&shares)));
            seen.push(shares);
        }
        seen
    }

    /// A plate's grain on its own raster, where its windows are looked up.
    fn pits(&mut self, key: &SharesKey, printing: &pull::Printing<'_>, heard: &mut dyn FnMut(f32)) -> Option<Rc<Pits>> {
        if !Pits::suit(printing.plate, &key.window) {
            return None;
        }
        let of = (key.plate.clone(), key.apart);
        if let Some((_, pits)) = self.pits.iter().find(|(kept, _)| *kept == of) {
            return Some(Rc::clone(pits));
        }
        let pits = Rc::new(Pits::of(printing.plate, key.apart, heard));
        self.pits.push((of, Rc::clone(&pits)));
        Some(pits)
    }

    /// Forgets what was used longest ago, beyond the `least` shares and the joint at hand.
    fn tidy(&mut self, least: usize) {
        let held = |shares: &[(SharesKey, Rc<Shares>)]| shares.iter().map(|(_, shares)| shares.bytes()).sum::<usize>();
        while held(&self.shares) > KEPT_BYTES && self.shares.len() > least {
            self.shares.remove(0);
        }
        while self.joints.iter().map(|(_, joint)| joint.bytes()).sum::<usize>() > KEPT_BYTES && self.joints.len() > 1 {
            self.joints.remove(0);
        }
        // A joint holds its shares as well: none outlives them but the last.
        let Some(last) = self.joints.pop() else { return };
        let shares = &self.shares;
        self.joints.retain(|(key, _)| key.shares.iter().all(|asked| shares.iter().any(|(of, _)| of.serves(asked))));
        self.joints.push(last);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use stepbite_core::units::PointMm;

    #[test]
    fn what_has_its_grain_serves_without_and_never_the_other_way_round() {
        let window = Window::new(PointMm::default(), 5.0, 40, 30).unwrap();
        let key = |plate: &str, grain: bool, shift: f64| SharesKey {
            plate: PlateKey::Brought(plate.to_owned()),
            apart: 0,
            misfit: Misfit { shift: PointMm { x: shift, y: 0.0 }, ..Misfit::default() },
            window,
            grain,
        };
        assert!(key("a", true, 0.0).serves(&key("a", false, 0.0)) && key("a", false, 0.0).serves(&key("a", false, 0.0)));
        assert!(!key("a", false, 0.0).serves(&key("a", true, 0.0)));
        assert!(!key("a", true, 0.0).serves(&key("b", true, 0.0)) && !key("a", true, 0.0).serves(&key("a", true, 0.2)));
        let joint = |shares: Vec<SharesKey>| JointKey { shares, grounds: None, zones: None };
        let both = |grain: bool| joint(vec![key("a", true, 0.0), key("b", grain, 0.0)]);
        assert!(both(true).serves(&both(false)) && !both(false).serves(&both(true)));
        assert!(!both(true).serves(&joint(vec![key("a", true, 0.0)])));
        assert!(!both(true).serves(&joint(vec![key("b", true, 0.0), key("a", true, 0.0)])));
    }
}
