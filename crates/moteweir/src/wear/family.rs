//! What is worn: one material in one to so many layers, or a stack as it is.

use crate::case::Case;

/// Layers beyond the question's largest number for which the next steps are asked.
pub(super) const MORE: usize = 2;

/// A family of stacks.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Family {
    pub(super) name: String,
    /// Fixed sheets, by material.
    pub(super) fixed: Vec<usize>,
    /// The material that is layered, and up to how many times.
    pub(super) layered: Option<(usize, usize)>,
}

impl Family {
    /// The question's stacks, or each stack of the case as it is.
    pub(super) fn all(case: &Case) -> Vec<Self> {
        match &case.question {
            Some(question) => vec![Self {
                name: case.materials[question.layers_of].name.clone(),
                fixed: question.before.iter().chain(&question.after).copied().collect(),
                layered: Some((question.layers_of, question.most)),
            }],
            None => case
                .stacks
                .iter()
                .map(|stack| Self { name: stack.name.clone(), fixed: stack.layers.clone(), layered: None })
                .collect(),
        }
    }

    /// Numbers of layers that the question asks about; 1 for a stack as it is.
    pub(super) fn asked(&self) -> usize {
        self.layered.map_or(1, |(_, most)| most)
    }

    /// How many layers the how manyth stack has, from 0: those that are layered, or all.
    pub(super) fn layers(&self, position: usize) -> u32 {
        let layers = if self.layered.is_some() { position + 1 } else { self.fixed.len() };
        u32::try_from(layers).unwrap_or(u32::MAX)
    }

    /// Every sheet of the largest stack, by material, the layered ones last; `alike` where these do not differ, and
    /// one stands for all.
    pub(super) fn sheets(&self, largest: usize, alike: bool) -> Vec<usize> {
        let layered = self
            .layered
            .map_or_else(Vec::new, |(material, _)| vec![material; if alike { 1 } else { largest }]);
        self.fixed.iter().copied().chain(layered).collect()
    }

    /// How often each of these sheets is in each stack, up to the largest.
    pub(super) fn counts(&self, largest: usize, alike: bool) -> Vec<Vec<u32>> {
        let fixed = vec![1; self.fixed.len()];
        if self.layered.is_none() {
            return vec![fixed];
        }
        let layered = |n: usize| -> Vec<u32> {
            if alike {
                vec![u32::try_from(n).unwrap_or(u32::MAX)]
            } else {
                (1..=largest).map(|sheet| u32::from(sheet <= n)).collect()
            }
        };
        (1..=largest).map(|n| fixed.iter().copied().chain(layered(n)).collect()).collect()
    }

    /// Whether the sheets that are layered differ from one another.
    pub(super) fn is_alike(&self, case: &Case) -> bool {
        self.layered
            .is_none_or(|(material, _)| case.materials[material].varies.iter().all(|v| v.sheet <= 0.0))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn stacks_of_like_sheets_and_of_others_hold_the_same_numbers() {
        let family = Family { name: "felt".into(), fixed: vec![1, 1], layered: Some((0, 2)) };
        assert_eq!(
            (family.sheets(3, true), family.counts(3, true)[2].clone()),
            (vec![1, 1, 0], vec![1, 1, 3])
        );
        assert_eq!(family.sheets(3, false), [1, 1, 0, 0, 0]);
        assert_eq!(family.counts(3, false), [[1, 1, 1, 0, 0], [1, 1, 1, 1, 0], [1, 1, 1, 1, 1]]);
        let stack = Family { name: "stack".into(), fixed: vec![0, 1, 0], layered: None };
        assert_eq!((stack.counts(9, true), stack.layers(0)), (vec![vec![1, 1, 1]], 3));
    }
}
