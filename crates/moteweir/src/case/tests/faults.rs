//! Every kind of fault, word for word, with its place.

use super::said;

/// A scenario of one material with the given lines, from line 3 on.
fn with(lines: &str) -> String {
    format!("[[material]]\nname = \"m\"\n{lines}\n[[stack]]\nlayers = [\"m\"]\n")
}

/// A material of a class with one more line, line 4.
fn felt_and(line: &str) -> String {
    with(&format!("class = \"needled felt\"\n{line}"))
}

/// A material that states all that a web needs, with one more line, line 8.
fn whole_web_and(line: &str) -> String {
    with(&format!(
        "structure = \"web\"\nbasis_weight = \"120 g/m2\"\nthickness = \"1.1 mm\"\nfibre_diameter = \"18 um\"\n\
         polymer = \"polypropylene\"\n{line}"
    ))
}

#[track_caller]
fn assert_said(text: &str, expected: &[&str]) {
    assert_eq!(said(text), expected, "for\n{text}");
}

#[test]
fn keys() {
    assert_said(
        &felt_and("basis_wieght = \"120 g/m2\""),
        &["4:1 error: unknown key `basis_wieght` in [[material]] [not a key of [[material]]] \
           (did you mean `basis_weight`?)"],
    );
    assert_said(
        &format!("{}[air]\ncolour = \"red\"\n", felt_and("")),
        &["8:1 error: unknown key `colour` in [air] [not a key of [air]] \
           (its keys: temperature, pressure, relative_humidity)"],
    );
    assert_said(
        &felt_and("swatch = { mass = \"1.8 g\", width = \"10 cm\", sheet = 2 }"),
        &[
            "4:10 error: swatch lacks `length` [no `length`] (for example: length = \"15 cm\")",
            "4:45 error: unknown key `sheet` in swatch [not a key of swatch] (did you mean `sheets`?)",
        ],
    );
    assert_said(
        &format!("format = 2\nair = 3\n{}", felt_and("")),
        &[
            "1:10 error: format 2 is not one that this version reads [a number of a format] \
             (write `format = 1` or leave it out)",
            "2:7 error: `air` is a whole number, but takes a table like [air] [expected a table like [air]] \
             (for example: [air])",
        ],
    );
}

#[test]
fn toml_itself() {
    assert_said(
        &felt_and("note = lot 12"),
        &["4:8 error: not valid TOML: string values must be quoted, expected literal string [here]"],
    );
    assert_said(&felt_and("class = \"foam\""), &["4:1 error: not valid TOML: duplicate key [here]"]);
}

#[test]
fn quantities() {
    assert_said(
        &felt_and("basis_weight = \"120 g/m\""),
        &[
            "4:21 error: `basis_weight`: `g/m` is a mass per length, a mass per area was expected, such as `120 g/m2` \
           [expected a mass per area]",
        ],
    );
    assert_said(
        &felt_and("basis_weight = \"120\""),
        &["4:17 error: `basis_weight`: a mass per area needs a unit, such as `120 g/m2` [no unit]"],
    );
    assert_said(
        &felt_and("basis_weight = 120"),
        &["4:16 error: `basis_weight` is the bare number 120, but a mass per area needs a unit [no unit] \
           (for example: basis_weight = \"120 g/m2\")"],
    );
    assert_said(
        &felt_and("thickness = \"1,1 mm\""),
        &["4:14 error: `thickness`: write `1,1 mm` as `1.1 mm` [a comma]"],
    );
    assert_said(
        &felt_and("thickness = \"-1 mm\""),
        &["4:13 error: `thickness` = -1 mm is outside what is possible [possible: 0.05 um to 300 mm]"],
    );
    assert_said(
        &felt_and("thickness = true"),
        &["4:13 error: `thickness` is true or false, but takes a length as a text with a unit, \
           { sheets = 4, value = \"4.4 mm\" }, or what is known of it [expected a length as a text with a unit, \
           { sheets = 4, value = \"4.4 mm\" }, or what is known of it] (for example: thickness = \"1.1 mm\")"],
    );
    assert_said(
        &whole_web_and("solidity = 12"),
        &["8:12 error: `solidity` = 12 is outside what is possible [possible: 0.0001 to 0.9]"],
    );
    assert_said(
        &felt_and("air_permeability = \"350 mm/s\""),
        &[
            "4:21 error: `air_permeability`: two values joined by `at` were expected, such as `5.3 cm/s at 24 Pa` \
           [expected a velocity]",
        ],
    );
    assert_said(
        &felt_and("swatch = { mass = \"90 kg\", width = \"1 cm\", length = \"1 cm\" }"),
        &[
            "4:10 error: `swatch` = 9.00e8 g/m2 is outside what is possible [possible: 0.001 g/m2 to 20 kg/m2]",
        ],
    );
    // An escape hides where in the text the unit stands: the whole text is marked.
    assert_said(
        &felt_and("thickness = \"1\\u0031 g\""),
        &[
            "4:13 error: `thickness`: `g` is a mass, a length was expected, such as `18 um` [expected a length]",
        ],
    );
}

#[test]
fn names() {
    assert_said(
        &with("class = \"needle felt\""),
        &[
            "3:9 error: there is no class of the name `needle felt` [no such class] (did you mean `needled felt`?)",
        ],
    );
    assert_said(
        &whole_web_and("").replace("polypropylene", "polypropilene"),
        &["7:11 error: there is no polymer of the name `polypropilene` [no such polymer] \
           (did you mean `polypropylene`?)"],
    );
    assert_said(
        &felt_and("").replace("[\"m\"]", "[\"felt\", { of = \"m\", times = 0 }, 3]"),
        &[
            "6:11 error: there is no material of the name `felt` [no such material] (there are: m)",
            "6:39 error: `times` = 0 is outside what is possible [possible: 1 to 100]",
            "6:44 error: `layers` is a whole number, but takes a material's name or \
             { of = \"needled felt\", times = 3 }, or a list of such [expected a material's name or \
             { of = \"needled felt\", times = 3 }, or a list of such] \
             (for example: layers = [\"sheeting\", \"needled felt\", \"sheeting\"])",
        ],
    );
    assert_said(
        &felt_and("").replace("[\"m\"]", "[]"),
        &["6:10 error: `layers` is empty [nothing in it] \
           (for example: layers = [\"sheeting\", \"needled felt\", \"sheeting\"])"],
    );
    assert_said(
        &format!("{}[[material]]\nname = \"m\"\nclass = \"needled felt\"\n", felt_and("")),
        &[
            "8:8 error: there are two materials of the name `m` [the first is in line 2] (give each its own name)",
        ],
    );
    assert_said(
        &format!("{}[use]\npoints = [\"mask at rst\"]\nflow = \"85 cm/s\"\n", felt_and("")),
        &[
            "8:11 error: there is no operating point of the name `mask at rst` [no such operating point] \
             (did you mean `mask at rest`?)",
            "9:12 error: `flow`: `cm/s` is a velocity, a volume flow was expected, such as `85 L/min` \
             [expected a volume flow]",
        ],
    );
    assert_said(
        &format!("{}[model]\nclosure = \"lee liu\"\n", felt_and("")),
        &["8:11 error: `lee liu` is not a choice of `closure` [not one of the choices] \
           (did you mean `lee-liu`? The choices: lee-liu, kuwabara-cell, resolved)"],
    );
}

#[test]
fn structures() {
    assert_said(
        &with("class = \"foam\""),
        &["3:9 error: `foam` is not a fibre filter [no fibres to compute with] \
           (open-cell foam is a net of struts and windows, to which neither fibre nor yarn relations apply; known to \
           stop little below 1 um)"],
    );
    assert_said(
        &whole_web_and("warp = \"30 /cm\""),
        &["8:8 error: `warp` does not belong to a material of structure `web` [a key of weaves and knits]"],
    );
    assert_said(
        &with("class = \"sheeting low count\"\nsolidity = 0.3"),
        &["4:12 error: `solidity` does not belong to a material of structure `weave` [a key of webs]"],
    );
    assert_said(
        &with("class = \"sheeting low count\"\nstructure = \"web\""),
        &["4:13 error: structure `web` contradicts class `sheeting low count`, which is a weave \
           [not the structure of `sheeting low count`] (leave `structure` out or name another `class`)"],
    );
    assert_said(
        &with(""),
        &["2:8 error: material `m` lacks its structure [no structure] \
           (state `structure` (\"web\", \"weave\" or \"knit\") or name a `class`)"],
    );
}

#[test]
fn what_is_not_used_is_said() {
    let weave = "class = \"sheeting low count\"\n";
    assert_said(
        &with(&format!("{weave}fibre_diameter = {{ median = \"13 um\", gsd = 1.2 }}")),
        &["4:18 warning: material `m`: the fibres of its yarns are taken as all of the median diameter \
           [`gsd` is not used]"],
    );
    assert_said(
        &with(&format!(
            "{weave}pressure_drop = \"24 Pa at 10 cm/s\"\nair_permeability = \"350 mm/s at 100 Pa\""
        )),
        &[
            "5:20 warning: material `m`: `air_permeability` is not used, because `pressure_drop` is stated as well \
           [not used]",
        ],
    );
}

#[test]
fn what_is_lacking_says_what_to_measure() {
    assert_said(
        &with("structure = \"web\""),
        &[
            "2:8 error: material `m` lacks its fibre density [no fibre density] \
             (state `polymer` (such as \"polypropylene\") or `fibre_density`, or name a `class`)",
            "2:8 error: material `m` lacks its fibre diameter [no fibre diameter] \
             (state `fibre_diameter` or `fibre_linear_density`, measure a flow (`air_permeability` or \
             `pressure_drop`), or name a `class`)",
            "2:8 error: material `m` lacks its basis weight [no basis weight] \
             (weigh a swatch (`swatch = { mass = \"1.80 g\", width = \"10 cm\", length = \"15 cm\" }`), state \
             `basis_weight`, or name a `class`)",
            "2:8 error: material `m` lacks its thickness [no thickness] \
             (measure it as layered in use (`thickness = \"1.1 mm\"`, or several sheets together), state `solidity`, \
             or name a `class`)",
        ],
    );
    assert_said(
        &with("structure = \"weave\"\nfibre_diameter = \"13 um\"\npolymer = \"cotton\"\nwarp = \"30 /cm\""),
        &[
            "2:8 error: material `m` lacks its count of weft threads [no count of weft threads] \
             (count the threads over 1 cm or 1 in under a lens (`warp = \"30 /cm\"`, `weft = \"28 /cm\"`), or name a \
             `class`)",
            "2:8 error: material `m` lacks its yarn linear density [no yarn linear density] \
             (state `yarn_linear_density`, weigh a swatch \
             (`swatch = { mass = \"1.80 g\", width = \"10 cm\", length = \"15 cm\" }`), or name a `class`)",
        ],
    );
    // A broken statement is one problem, not two.
    assert_said(
        &whole_web_and("").replace("\"18 um\"", "\"18\""),
        &["6:19 error: `fibre_diameter`: a length needs a unit, such as `18 um` [no unit]"],
    );
    assert_said(
        "",
        &[
            "1:1 error: the scenario has no [[material]] [no [[material]]] \
             (for example: [[material]] with `name`, `class = \"needled felt\"` and a weighed `swatch`)",
            "1:1 error: the scenario has no [[stack]] [no [[stack]]] \
             (for example: [[stack]] with `layers = [\"needled felt\"]`)",
        ],
    );
}

#[test]
fn statements_that_disagree() {
    // 120 g/m2 over 1.1 mm x 910 kg/m3 is 0.1199.
    assert_said(
        &whole_web_and("solidity = 0.13"),
        &[
            "8:12 warning: material `m`: solidity 0.130 disagrees with weight and thickness (solidity 0.120) by 8 % \
           [weight and thickness (solidity 0.120) won]",
        ],
    );
    assert_said(&whole_web_and("solidity = 0.12"), &[]);
    assert_said(
        &whole_web_and("solidity = 0.2"),
        &[
            "8:12 error: material `m`: solidity 0.200 disagrees with weight and thickness (solidity 0.120) by 67 % \
           [one of the two is wrong] (measure again: caliper pressure, several sheets counted as one and a damp \
           swatch are the usual causes)",
        ],
    );
    assert_said(
        &whole_web_and("").replace("1.1 mm", "0.1 mm"),
        &["5:13 error: material `m` would be 1.32 solid [too thin for its weight] \
           (check the thickness (sheets, caliper pressure), the swatch and the fibre density)"],
    );
    assert_said(
        &whole_web_and("").replace("120 g/m2", "0.1 g/m2").replace("1.1 mm", "12 um"),
        &[
            "6:18 error: `fibre_diameter` = 18.0 um is not below `thickness` = 12.0 um [must be below `thickness`]",
        ],
    );
    assert_said(
        &felt_and(
            "swatch = { mass = \"1.8 g\", width = \"10 cm\", length = \"15 cm\" }\nbasis_weight = \"120 g/m2\"",
        ),
        &["4:10 error: `basis_weight` and `swatch` both state the weight [the weight a second time] \
           (keep `basis_weight` or `swatch`)"],
    );
    // 200 Pa / 350 mm/s is 571 Pa s/m, 60 Pa / 10 cm/s is 600.
    assert_said(
        &felt_and("air_permeability = \"350 mm/s at 200 Pa\"\npressure_drop = \"60 Pa at 10 cm/s\""),
        &[
            "4:20 warning: material `m`: `air_permeability` (571 Pa s/m) disagrees with `pressure_drop` (600 Pa s/m) \
           by 5 % [`pressure_drop` (600 Pa s/m) won]",
        ],
    );
    // 20 tex on 58 threads/cm and 5 % crimp is 121.8 g/m2.
    let weave = with(
        "structure = \"weave\"\nwarp = \"30 /cm\"\nweft = \"28 /cm\"\nyarn_linear_density = \"20 tex\"\n\
         fibre_diameter = \"14 um\"\npolymer = \"cotton\"\nbasis_weight = \"112 g/m2\"",
    );
    assert_said(
        &weave,
        &[
            "6:23 warning: material `m`: weight 112 g/m2 disagrees with yarn and thread counts (122 g/m2) by 8 % \
           [yarn and thread counts (122 g/m2) won]",
        ],
    );
}

#[test]
fn statements_that_no_layer_can_have_together() {
    let both = format!(
        "{}[[material]]\nname = \"n\"\nclass = \"sheeting low count\"\nyarn_width = \"5 mm\"\n",
        felt_and("pressure_drop = \"0.0001 Pa at 20 m/s\""),
    );
    let said = said(&both);
    assert_eq!(said.len(), 2, "{said:#?}");
    assert!(said[0].starts_with("2:8 error: material `m`: "), "{}", said[0]);
    assert!(said[0].ends_with(" [no such layer can be]"), "{}", said[0]);
    assert!(said[1].starts_with("8:8 error: material `n`: "), "{}", said[1]);
}

#[test]
fn a_value_far_from_its_class_is_a_slip_of_a_unit_or_worth_a_second_look() {
    assert_said(
        &felt_and("fibre_diameter = \"180 um\""),
        &["4:18 warning: material `m`: `fibre_diameter` of 180 um is unusual for class `needled felt` \
           [usual: 12 um to 25 um] (check the number and its unit; the stated value is used)"],
    );
    // 2.4 g on a swatch of 1 cm by 15 cm is 1600 g/m2.
    assert_said(
        &felt_and("swatch = { mass = \"2.4 g\", width = \"1 cm\", length = \"15 cm\" }"),
        &["4:10 warning: material `m`: `basis_weight` of 1600 g/m2 is unusual for class `needled felt` \
           [usual: 80 g/m2 to 400 g/m2] (check the number and its unit; the stated value is used)"],
    );
    assert_said(&felt_and("basis_weight = \"500 g/m2\""), &[]);
}

#[test]
fn particles_aerosols_and_channels() {
    let rest = "[particles]\ncharge = 1.5\npoints = 1\nsmallest = \"20 um\"\n[aerosol]\nname = \"s\"\n\
                [[channel]]\nname = \"c\"\nfrom = \"1 um\"\nto = \"0.5 um\"\naerosol = \"t\"\n";
    assert_said(
        &format!("{}{rest}", felt_and("")),
        &[
            "8:10 error: `charge` = 1.5 is not a whole number [charges come whole]",
            "9:10 error: `points` = 1 is outside what is possible [possible: 2 to 2001]",
            "10:12 error: `smallest` = 20 um is not below `largest` = 10 um [must be below `largest`]",
            "12:8 error: [[aerosol]] lacks `modes` [no `modes`] \
             (for example: modes = [{ median = \"0.15 um\", gsd = 1.6 }])",
            "15:8 error: `from` = 1 um is not below `to` = 0.5 um [must be below `to`]",
            "17:11 error: there is no aerosol of the name `t` [no such aerosol] (there are: s)",
        ],
    );
    let shares = "[[aerosol]]\nname = \"s\"\nbins = [{ from = \"1 um\", to = \"2 um\", share = 0 }]\n";
    assert_said(
        &format!("{}{shares}", felt_and("")),
        &["9:8 error: the shares add to 0 [nothing to average over]"],
    );
    let overlap =
        shares.replace("share = 0 }", "share = 1 }, { from = \"1.5 um\", to = \"3 um\", share = 1 }");
    assert_said(
        &format!("{}{overlap}", felt_and("")),
        &["9:61 error: the bin from 1.5 um begins inside the one before [overlaps another bin]"],
    );
    let both = "[[aerosol]]\nname = \"s\"\nmodes = [{ median = \"1 um\", gsd = 2 }]\n\
                bins = [{ from = \"1 um\", to = \"2 um\", share = 1 }]\n";
    assert_said(
        &format!("{}{both}", felt_and("")),
        &[
            "10:8 error: `modes` and `bins` both state the sizes [the sizes a second time] (keep `modes` or `bins`)",
        ],
    );
}

#[test]
fn a_line_is_counted_alike_with_carriage_returns_and_a_byte_order_mark() {
    let text = felt_and("thickness = \"1,1 mm\"");
    let expected = said(&text);
    assert_eq!(said(&text.replace('\n', "\r\n")), expected);
    assert_eq!(said(&format!("\u{feff}{text}")), expected);
    let first = said("\u{feff}colour = 1\n");
    assert!(first[0].starts_with("1:1 error: the scenario has no"), "{first:?}");
    assert!(first[2].starts_with("1:1 error: unknown key `colour`"), "{first:?}");
}
