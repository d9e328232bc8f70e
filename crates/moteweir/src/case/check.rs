//! From a scenario as written to a case, with every problem on the way.

use moteweir_physics::air::Air;

use super::decision::TargetSetting;
use super::face::UseArea;
use super::facts::Facts;
use super::laboratory::Laboratory;
use super::ledger::Ledger;
use super::material::{Binding, Material, Structure};
use super::specimen::Specimens;
use super::{AirConditions, Case, Stack, conditions, decision, face, mixtures, varies, weave, web};
use crate::doubt::Doubt;
use crate::files::Files;
use crate::near::nearest;
use crate::predict::medium;
use crate::problem::{Fault, Problems, Severity, Span, in_order};
use crate::scenario::{Entry, LayerAsWritten, MaterialAsWritten, Scenario, StackAsWritten, Written, keys};
use crate::shelf::{Class, ClassStructure, Shelf};

const STRUCTURE: &str = "state `structure` (\"web\", \"weave\" or \"knit\") or name a `class`";

impl Case {
    /// Reads and checks a scenario that names no other files, with the classes of a shelf.
    ///
    /// # Errors
    /// Every problem of the text, warnings among them, where at least one is an error.
    pub fn read(text: &str, shelf: &Shelf) -> Result<Self, Problems> {
        Self::read_with(text, shelf, &Files::none())
    }

    /// Reads and checks a scenario with the classes of a shelf and the texts of the files that it names (see
    /// [`Scenario::files`]).
    ///
    /// # Errors
    /// Every problem of the scenario and of its files, warnings among them, where at least one is an error.
    pub fn read_with(text: &str, shelf: &Shelf, files: &Files) -> Result<Self, Problems> {
        let (scenario, problems) = Scenario::read(text);
        let mut ledger = Ledger::new(text, problems);
        let mut case = of(&scenario, shelf, files, &mut ledger);
        forget_unused_doubts(&mut case);
        impossible_media(&case, &mut ledger);
        let Ledger { problems, assumed, .. } = ledger;
        let problems = in_order(problems);
        if problems.iter().any(|problem| problem.severity == Severity::Error) {
            return Err(Problems(problems));
        }
        Ok(Self { assumed, warnings: problems, ..case })
    }
}

/// Takes an inhomogeneity as exact where the headline does not depend on it: it would be an unknown of no effect.
fn forget_unused_doubts(case: &mut Case) {
    if case.model.closure.is_ideal_cell() {
        return;
    }
    for material in &mut case.materials {
        if let Structure::Web(web) = &mut material.structure {
            web.inhomogeneity.doubt = Doubt::None;
        }
    }
}

/// Notes materials whose statements are sound each by itself, but together ask of physics what cannot be.
fn impossible_media(case: &Case, ledger: &mut Ledger<'_>) {
    let AirConditions { temperature, pressure, relative_humidity } = case.air;
    let air = Air::new(temperature, pressure, relative_humidity);
    for material in &case.materials {
        if let Err(fault) = medium(material, case.model.closure, &air, case.particles.relative_permittivity) {
            ledger.error(Fault::Impossible { fault: Box::new(fault) }, material.place.clone());
        }
    }
}

/// The case without its assumptions and warnings, which are in the ledger. Complete only without errors there.
fn of(scenario: &Scenario, shelf: &Shelf, files: &Files, ledger: &mut Ledger<'_>) -> Case {
    if scenario.format.is_absent() {
        ledger.assume_default(&keys::Root::FORMAT);
    }
    let title = scenario
        .title
        .value()
        .cloned()
        .unwrap_or_else(|| ledger.assume_default(&keys::Root::TITLE).to_owned());
    let air = conditions::air(&scenario.air, ledger);
    let particles = conditions::particles(&scenario.particles, ledger);
    let aerosols = mixtures::aerosols(&scenario.aerosols, ledger);
    let sizes =
        mixtures::ChannelSetting { written_aerosols: &scenario.aerosols, air: &air, particles: &particles };
    let channels = mixtures::channels(&scenario.channels, &sizes, ledger);
    let materials = materials(&scenario.materials, shelf, ledger);
    let named = Named(&scenario.materials);
    let labels: Vec<_> = scenario.stacks.iter().map(label).collect();
    let stacks = stacks(&scenario.stacks, &labels, &named, ledger);
    let usage = conditions::usage(&scenario.usage, ledger);
    let setting = TargetSetting {
        stacks: &labels,
        aerosols: &aerosols,
        channels: &channels,
        is_whole: aerosols.len() == scenario.aerosols.len() && channels.len() == scenario.channels.len(),
        usage: &usage,
    };
    let targets = decision::targets(&scenario.targets, &setting, ledger);
    let question = scenario.question.as_ref().and_then(|written| decision::question(written, &named, ledger));
    let specimens = Specimens { stacks: &scenario.stacks, labels: &labels, materials: &named };
    let laboratory = Laboratory { specimens: &specimens, files, sizes: &sizes, aerosols: &aerosols };
    let measured = laboratory.measured(&scenario.measured, ledger);
    let bench = scenario.bench.as_ref().map(|written| laboratory.bench(written, ledger));
    let area = UseArea { area: usage.area, is_stated: !scenario.usage.area.is_absent() };
    let face = scenario.face.as_ref().and_then(|written| face::face(written, &area, ledger));
    Case {
        title,
        air,
        particles,
        model: conditions::model(&scenario.model, ledger),
        materials,
        stacks,
        usage,
        aerosols,
        channels,
        targets,
        question,
        face,
        vary: decision::vary(&scenario.vary),
        bench,
        measured,
        assumed: Vec::new(),
        warnings: Vec::new(),
    }
}

fn materials(written: &[MaterialAsWritten], shelf: &Shelf, ledger: &mut Ledger<'_>) -> Vec<Material> {
    if written.is_empty() {
        let example = "[[material]] with `name`, `class = \"needled felt\"` and a weighed `swatch`";
        ledger.error(Fault::None { kind: "[[material]]", example }, 0..0);
    }
    let names: Vec<_> = written.iter().map(name_of).collect();
    ledger.distinct("materials", &names);
    written.iter().filter_map(|material| self::material(material, shelf, ledger)).collect()
}

/// A material's own name, else its class's.
fn name_of(written: &MaterialAsWritten) -> Option<(&str, Span)> {
    match &written.name {
        Entry::Absent => mixtures::named(&written.class),
        name => mixtures::named(name),
    }
}

fn material(written: &MaterialAsWritten, shelf: &Shelf, ledger: &mut Ledger<'_>) -> Option<Material> {
    if written.name.is_absent() && written.class.is_absent() {
        let (key, example) = (keys::Material::NAME.name, keys::Material::NAME.example);
        let fault = Fault::MissingKey { section: keys::Material::SECTION.name, key, example };
        ledger.error(fault, written.span.clone());
    }
    let class = class_of(written, shelf, ledger).ok()?;
    let name = name_of(written).map_or("without name", |(name, _)| name);
    let mut facts = Facts { written, class, name, ledger };
    let structure = match structure_of(&mut facts)? {
        ClassStructure::Web => Structure::Web(web::build(&mut facts)?),
        ClassStructure::Weave => Structure::Weave(weave::build(&mut facts, Binding::Woven)?),
        ClassStructure::Knit => Structure::Weave(weave::build(&mut facts, Binding::Knitted)?),
        ClassStructure::NotFibrous => return None,
    };
    let place = facts.place();
    let varies = varies::of(&mut facts, &structure)?;
    facts.note_doubts();
    Some(Material {
        name: name.to_owned(),
        place,
        class: class.map(|class| class.name.clone()),
        note: written.note.value().cloned(),
        hazards: class.map(|class| class.hazards.clone()),
        varies,
        structure,
    })
}

/// The check cannot go on; why is in the ledger.
struct Noted;

/// The class that a material names, if it names one.
fn class_of<'s>(
    written: &MaterialAsWritten,
    shelf: &'s Shelf,
    ledger: &mut Ledger<'_>,
) -> Result<Option<&'s Class>, Noted> {
    let name = match &written.class {
        Entry::Absent => return Ok(None),
        Entry::Broken(_) => return Err(Noted),
        Entry::Stated(name) => name,
    };
    let class = shelf.find(&name.value);
    match class {
        Some(class) if class.structure == ClassStructure::NotFibrous => {
            let fault = Fault::NotAFibreFilter {
                class: class.name.clone(),
                why: class.kind.trim_start_matches("not a fibre filter: ").to_owned(),
            };
            ledger.error(fault, name.span.clone());
            Err(Noted)
        }
        Some(class) => Ok(Some(class)),
        None => {
            let fault = Fault::UnknownName {
                kind: "class",
                name: name.value.clone(),
                near: shelf.nearest(&name.value).map(str::to_owned),
                known: shelf.classes().iter().map(|class| class.name.clone()).collect(),
            };
            ledger.error(fault, name.span.clone());
            Err(Noted)
        }
    }
}

/// The structure as stated, else the class's; the two have to agree.
fn structure_of(facts: &mut Facts<'_, '_>) -> Option<ClassStructure> {
    let stated = match &facts.written.structure {
        Entry::Broken(_) => return None,
        Entry::Absent => None,
        Entry::Stated(word) => Some(match word.value {
            "weave" => ClassStructure::Weave,
            "knit" => ClassStructure::Knit,
            _ => ClassStructure::Web,
        }),
    };
    match (stated, facts.class) {
        (Some(stated), Some(class)) if stated != class.structure => {
            let fault = Fault::StructureOfClass {
                structure: stated.word(),
                class: class.name.clone(),
                class_structure: class.structure.word(),
            };
            let place = facts.written.structure.span().unwrap_or_else(|| facts.place());
            facts.ledger.error(fault, place);
            None
        }
        (Some(stated), _) => Some(stated),
        (None, Some(class)) => Some(class.structure),
        (None, None) => facts.lacks("its structure", STRUCTURE),
    }
}

fn stacks(
    written: &[StackAsWritten],
    labels: &[Option<String>],
    materials: &Named<'_>,
    ledger: &mut Ledger<'_>,
) -> Vec<Stack> {
    if written.is_empty() {
        let example = "[[stack]] with `layers = [\"needled felt\"]`";
        ledger.error(Fault::None { kind: "[[stack]]", example }, 0..0);
    }
    let names: Vec<_> = labels
        .iter()
        .zip(written)
        .map(|(label, stack)| {
            let place = stack.name.span().or_else(|| stack.layers.span());
            label.as_deref().zip(place)
        })
        .collect();
    ledger.distinct("stacks", &names);
    let mut stacks = Vec::new();
    for (stack, label) in written.iter().zip(labels) {
        let layers = stack.layers.value().and_then(|list| layers(list, materials, ledger));
        if let (Some(layers), Some(name)) = (layers, label) {
            stacks.push(Stack { name: name.clone(), layers });
        }
    }
    stacks
}

/// A stack's own name, else its layers.
fn label(stack: &StackAsWritten) -> Option<String> {
    match &stack.name {
        Entry::Stated(name) => return Some(name.value.clone()),
        Entry::Broken(_) => return None,
        Entry::Absent => {}
    }
    let layers = stack.layers.value()?.iter().map(|layer| {
        let layer = layer.value()?;
        let name = &layer.of.value;
        Some(if layer.times == 1 { name.clone() } else { format!("{} x {name}", layer.times) })
    });
    Some(layers.collect::<Option<Vec<_>>>()?.join(" + "))
}

/// The materials of a file, to be found by name.
pub(super) struct Named<'a>(&'a [MaterialAsWritten]);

impl Named<'_> {
    /// Where in the list the material of a name is; noted where there is none.
    pub(super) fn position(&self, name: &Written<String>, ledger: &mut Ledger<'_>) -> Option<usize> {
        let position = self.find(&name.value);
        if position.is_none() {
            let fault = Fault::UnknownName {
                kind: "material",
                name: name.value.clone(),
                near: nearest(&name.value, self.names()).map(str::to_owned),
                known: self.names().map(str::to_owned).collect(),
            };
            ledger.error(fault, name.span.clone());
        }
        position
    }

    /// Where in the list the material of a name is.
    pub(super) fn find(&self, name: &str) -> Option<usize> {
        self.0.iter().position(|material| name_of(material).is_some_and(|(other, _)| other == name))
    }

    /// Every name.
    pub(super) fn names(&self) -> impl Iterator<Item = &str> {
        self.0.iter().filter_map(name_of).map(|(name, _)| name)
    }
}

/// Whether a stack is no more than a single sheet of a material.
pub(super) fn is_one_sheet_of(stack: &StackAsWritten, material: &str) -> bool {
    match stack.layers.value().map(Vec::as_slice) {
        Some([layer]) => layer.value().is_some_and(|layer| layer.times == 1 && layer.of.value == material),
        _ => false,
    }
}

/// Positions of the materials of layers, one a sheet.
pub(super) fn layers(
    written: &[Entry<LayerAsWritten>],
    materials: &Named<'_>,
    ledger: &mut Ledger<'_>,
) -> Option<Vec<usize>> {
    let mut positions = Vec::new();
    let mut is_known = true;
    for layer in written {
        let found =
            layer.value().and_then(|layer| Some((materials.position(&layer.of, ledger)?, layer.times)));
        match found {
            Some((position, times)) => positions.extend(std::iter::repeat_n(position, times as usize)),
            None => is_known = false,
        }
    }
    is_known.then_some(positions)
}
