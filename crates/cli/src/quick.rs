//! A material described on the command line, as the scenario that says the same.

use crate::arguments::QuickMaterial;

/// The scenario of the options, as text, so that it is read, checked and reported like any other.
pub(crate) fn scenario(quick: &QuickMaterial) -> String {
    let class = quick.class.as_deref().unwrap_or_default();
    let layers = quick.layers.unwrap_or(1);
    let mut lines = vec![
        format!("title = {}", quoted(&format!("{layers} x {class}"))),
        "[[material]]".to_owned(),
        format!("name = {}", quoted(class)),
        format!("class = {}", quoted(class)),
    ];
    if let (Some(mass), Some(width), Some(length)) = (&quick.mass, &quick.width, &quick.length) {
        let sheets = quick.sheets.map_or_else(String::new, |n| format!(", sheets = {n}"));
        lines.push(format!(
            "swatch = {{ mass = {}, width = {}, length = {}{sheets} }}",
            quoted(mass),
            quoted(width),
            quoted(length)
        ));
    }
    let stated = [
        ("basis_weight", &quick.basis_weight),
        ("thickness", &quick.thickness),
        ("fibre_diameter", &quick.fibre_diameter),
        ("air_permeability", &quick.air_permeability),
        ("pressure_drop", &quick.pressure_drop),
    ];
    lines.extend(keys(&stated));
    lines.extend([
        "[[stack]]".to_owned(),
        format!("name = {}", quoted(&format!("{layers} x {class}"))),
        format!("layers = [{{ of = {}, times = {layers} }}]", quoted(class)),
        "[use]".to_owned(),
    ]);
    if !quick.velocity.is_empty() {
        let velocities: Vec<String> = quick.velocity.iter().map(|v| quoted(v)).collect();
        lines.push(format!("face_velocities = [{}]", velocities.join(", ")));
    }
    lines.extend(keys(&[("flow", &quick.flow), ("area", &quick.area)]));
    lines.push(String::new());
    lines.join("\n")
}

fn keys(stated: &[(&str, &Option<String>)]) -> Vec<String> {
    stated
        .iter()
        .filter_map(|(key, value)| value.as_ref().map(|v| format!("{key} = {}", quoted(v))))
        .collect()
}

/// A TOML basic string: JSON's escapes are a subset of TOML's.
fn quoted(text: &str) -> String {
    serde_json::Value::from(text).to_string()
}
