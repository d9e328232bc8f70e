//! Every source that a relation, a default or a check rests on, each as a constant.
//!
//! Documentation links to these, so a source that is not here fails the documentation build, and a run can list
//! the sources it used.

/// How a source reached this code.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Standing {
    /// The number or formula was read in the source or in public text that quotes it.
    Read,
    /// Recalled, not read again: check before quoting.
    FromMemory,
    /// Computed here from what other sources state.
    Derived,
}

/// One source.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Reference {
    /// Short form for a sentence, such as `Davies 1953`.
    pub short: &'static str,
    /// Full citation.
    pub citation: &'static str,
    /// Read, recalled or derived.
    pub standing: Standing,
}

impl Reference {
    /// The citation with its standing where that is a caution.
    pub fn line(&self) -> String {
        match self.standing {
            Standing::Read => self.citation.to_owned(),
            Standing::FromMemory => format!("{} (from memory)", self.citation),
            Standing::Derived => format!("{} (derived here)", self.citation),
        }
    }
}

macro_rules! reference {
    ($(#[$meta:meta])* $name:ident, $short:literal, $citation:literal, $standing:ident) => {
        $(#[$meta])*
        pub const $name: Reference =
            Reference { short: $short, citation: $citation, standing: Standing::$standing };
    };
}

reference!(
    /// Viscosity, mean free path and slip of air as one set.
    ISO_15900, "ISO 15900", "ISO 15900:2020, Determination of particle size distribution: differential electrical mobility analysis for aerosol particles; slip coefficients of Kim et al. 2005", Read
);
reference!(
    /// Slip correction coefficients.
    KIM_2005, "Kim et al. 2005", "J. H. Kim, G. W. Mulholland, S. R. Kukuck, D. Y. H. Pui, J. Res. Natl. Inst. Stand. Technol. 110 (2005) 31", Read
);
reference!(
    /// Slip correction coefficients, older.
    DAVIES_1945, "Davies 1945", "C. N. Davies, Proc. Phys. Soc. 57 (1945) 259", Read
);
reference!(
    /// Saturation pressure of water.
    BUCK_1996, "Buck 1996", "A. L. Buck, hygrometer manual, appendix 1 (1996), after J. Appl. Meteorol. 20 (1981) 1527", FromMemory
);
reference!(
    /// Flow around a cylinder in a cell of zero edge vorticity.
    KUWABARA_1959, "Kuwabara 1959", "S. Kuwabara, J. Phys. Soc. Jpn 14 (1959) 527; equations re-derived", Derived
);
reference!(
    /// Flow around a cylinder in a cell of zero edge shear.
    HAPPEL_1959, "Happel 1959", "J. Happel, AIChE J. 5 (1959) 174", FromMemory
);
reference!(
    /// Kuwabara's cell with slip on the fibre.
    PICH_1966, "Pich 1966", "J. Pich, in: Aerosol Science (ed. C. N. Davies), Academic Press 1966; equations re-derived", Derived
);
reference!(
    /// Drag in a fan of fibres, with slip.
    KIRSCH_STECHKINA_1978, "Kirsch and Stechkina 1978", "A. A. Kirsch, I. B. Stechkina, in: Fundamentals of Aerosol Science (ed. D. T. Shaw), Wiley 1978", FromMemory
);
reference!(
    /// Pressure drop of fibrous pads.
    DAVIES_1953, "Davies 1953", "C. N. Davies, Proc. Inst. Mech. Eng. B1 (1953) 185, as given in Z. Tan, Air Pollution and Greenhouse Gases, Springer 2014, p. 183-184", Read
);
reference!(
    /// Diffusion and interception fitted to real filters.
    LEE_LIU_1982, "Lee and Liu 1982", "K. W. Lee, B. Y. H. Liu, Aerosol Sci. Technol. 1 (1982) 35 and 147", FromMemory
);
reference!(
    /// Most penetrating size in closed form.
    LEE_LIU_1980, "Lee and Liu 1980", "K. W. Lee, B. Y. H. Liu, J. Air Pollut. Control Assoc. 30 (1980) 377", FromMemory
);
reference!(
    /// Slip factors for the fitted forms.
    LIU_RUBOW_1990, "Liu and Rubow 1990", "B. Y. H. Liu, K. L. Rubow, Proc. 5th World Filtration Congress (1990) 112", FromMemory
);
reference!(
    /// Bound that keeps the fitted diffusion term below one.
    PAYET_1992, "Payet et al. 1992", "S. Payet, D. Boulaud, G. Madelaine, A. Renoux, J. Aerosol Sci. 23 (1992) 723", FromMemory
);
reference!(
    /// Diffusion in the cell, two terms.
    STECHKINA_FUCHS_1966, "Stechkina and Fuchs 1966", "I. B. Stechkina, N. A. Fuchs, Ann. Occup. Hyg. 9 (1966) 59; as given in Tan 2014, p. 179", Read
);
reference!(
    /// Cross term of diffusion and interception; impaction at low Stokes number.
    STECHKINA_1969, "Stechkina, Kirsch and Fuchs 1969", "I. B. Stechkina, A. A. Kirsch, N. A. Fuchs, Ann. Occup. Hyg. 12 (1969) 1", FromMemory
);
reference!(
    /// A textbook that prints many of these relations.
    TAN_2014, "Tan 2014", "Z. Tan, Air Pollution and Greenhouse Gases, Springer 2014", Read
);
reference!(
    /// The usual textbook of aerosol science.
    HINDS_1999, "Hinds 1999", "W. C. Hinds, Aerosol Technology, 2nd ed., Wiley 1999", FromMemory
);
reference!(
    /// Limiting trajectories in Kuwabara's cell, solved by this project.
    CELL_TRAJECTORIES, "cell trajectories", "Limiting trajectories in Kuwabara's cell, solved and tabulated by this project", Derived
);
reference!(
    /// Convective diffusion and limiting trajectories in Kuwabara's cell with slip, solved by this project.
    RESOLVED_CELL, "resolved cell", "Convective diffusion and limiting trajectories in Kuwabara's cell with slip, solved, tabulated and joined by this project", Derived
);
reference!(
    /// Interception and settling joined on the surface of contact.
    CELL_GRAVITY, "cell flux", "Flux of flow and settling through the circle of contact in Kuwabara's cell", Derived
);
reference!(
    /// Electret capture from the force laws, solved in the cell and tabulated.
    CELL_ELECTRET, "electret cell", "Paths of particles round a line-dipole fibre in Kuwabara's cell, charge, polarisation and size at once, averaged over orientation: computed by this project", Derived
);
reference!(
    /// Image-force capture, fitted; for comparison.
    LUNDGREN_WHITBY_1965, "Lundgren and Whitby 1965", "D. A. Lundgren, K. T. Whitby, Ind. Eng. Chem. Process Des. Dev. 4 (1965) 345; as given in Tan 2014, p. 178", FromMemory
);
reference!(
    /// Electret fits for comparison.
    OTANI_1993, "Otani, Emi and Mori 1993", "Y. Otani, H. Emi, J. Mori, KONA 11 (1993) 207", FromMemory
);
reference!(
    /// Bipolar charge distribution of small particles.
    WIEDENSOHLER_1988, "Wiedensohler 1988", "A. Wiedensohler, J. Aerosol Sci. 19 (1988) 387; coefficients read in an instrument manual", Read
);
reference!(
    /// Boltzmann charge equilibrium.
    BOLTZMANN_CHARGE, "Boltzmann charge equilibrium", "Boltzmann charge equilibrium, as in Hinds 1999, ch. 15", FromMemory
);
reference!(
    /// Moments of a lognormal.
    HATCH_CHOATE_1929, "Hatch and Choate 1929", "T. Hatch, S. P. Choate, J. Franklin Inst. 207 (1929) 369", FromMemory
);
reference!(
    /// Uneven webs.
    UNEVEN_WEB, "uneven web", "Gamma-distributed local basis weight at common pressure drop; the idea in Lajos 1985, Schweers and Loffler 1994, Dhaniyala and Liu 2001", Derived
);
reference!(
    /// Yarn permeability.
    GEBART_1992, "Gebart 1992", "B. R. Gebart, J. Compos. Mater. 26 (1992) 1100", FromMemory
);
reference!(
    /// Diffusion to the wall of a tube.
    GORMLEY_KENNEDY_1949, "Gormley and Kennedy 1949", "P. G. Gormley, M. Kennedy, Proc. R. Ir. Acad. 52A (1949) 163", FromMemory
);
reference!(
    /// Viscous entry loss of a hole.
    SAMPSON_1891, "Sampson 1891", "R. A. Sampson, Phil. Trans. R. Soc. A 182 (1891) 449; joined to a tube as in Dagan, Weinbaum and Pfeffer 1982", FromMemory
);
reference!(
    /// Kinetic energy that a tube's jet loses.
    HAGENBACH_1860, "Hagenbach 1860", "E. Hagenbach, Ann. Phys. Chem. 109 (1860) 385; the factor 2.24 on the dynamic pressure", FromMemory
);
reference!(
    /// A throat between two rounded yarns.
    YARN_THROAT, "throat between yarns", "Poiseuille's law integrated along a throat whose width grows as d + z^2/R", Derived
);
reference!(
    /// Flattened yarns as racetracks.
    KEMP_1958, "Kemp 1958", "A. Kemp, J. Text. Inst. 49 (1958) T44", FromMemory
);
reference!(
    /// Loops of relaxed plain knits.
    MUNDEN_1959, "Munden 1959", "D. L. Munden, J. Text. Inst. 50 (1959) T448", FromMemory
);
reference!(
    /// Impaction on the face round a pore.
    PICH_1964, "Pich 1964", "J. Pich, Staub 24 (1964) 60", FromMemory
);
reference!(
    /// Adhesion of particles that touch a fibre.
    PTAK_JAROSZCZYK_1990, "Ptak and Jaroszczyk 1990", "T. J. Ptak, T. Jaroszczyk, Proc. 5th World Filtration Congress (1990)", FromMemory
);
reference!(
    /// Adhesion of particles that touch a fibre, from single-fibre measurements.
    HILLER_LOFFLER_1980, "Hiller and Loffler 1980", "R. Hiller, F. Loffler, Staub Reinhalt. Luft 40 (1980) 405", FromMemory
);
reference!(
    /// Adhesion of particles that touch a fibre, later measurements.
    KASPER_2009, "Kasper et al. 2009", "G. Kasper, S. Schollmeier, J. Meyer, J. Hoferer, J. Aerosol Sci. 40 (2009) 993", FromMemory
);
reference!(
    /// Dust fractions by where they reach.
    EN_481, "EN 481", "EN 481:1993 and ISO 7708:1995, size fraction definitions", Read
);
reference!(
    /// Deposition in the airways.
    HINDS_ICRP66, "Hinds' fit to ICRP 66", "W. C. Hinds, Aerosol Technology, 2nd ed. 1999, eq. 11.1-11.5, a fit to ICRP Publication 66 (1994)", Read
);
reference!(
    /// Air permeability of textiles.
    ISO_9237, "ISO 9237", "ISO 9237:1995, Textiles: determination of the permeability of fabrics to air", FromMemory
);
reference!(
    /// Air permeability of textiles, inch units.
    ASTM_D737, "ASTM D737", "ASTM D737, Air permeability of textile fabrics", FromMemory
);
reference!(
    /// Differential pressure of medical masks.
    EN_14683, "EN 14683", "EN 14683:2019, Medical face masks, annex C", Read
);
reference!(
    /// Densities and dry permittivities of natural and regenerated fibres.
    MORTON_HEARLE_2008, "Morton and Hearle 2008", "W. E. Morton, J. W. S. Hearle, Physical Properties of Textile Fibres, 4th ed., Woodhead 2008", FromMemory
);
reference!(
    /// Densities and permittivities of bulk polymers and glass as data sheets have them.
    POLYMER_TABLES, "polymer data sheets", "Densities and relative permittivities of bulk polymers and glass as data sheets have them; common practice", FromMemory
);
reference!(
    /// Flow through straight cracks: friction of parallel walls and a loss of 1.5 dynamic pressures.
    BAKER_1987, "Baker et al. 1987", "P. H. Baker, S. Sharples, I. C. Ward, Air flow through cracks, Build. Environ. 22 (1987) 293", FromMemory
);
reference!(
    /// The contraction of a free jet from a slot in a thin wall, pi/(pi + 2) = 0.611.
    KIRCHHOFF_1869, "Kirchhoff 1869", "G. Kirchhoff, Zur Theorie freier Flüssigkeitsstrahlen, J. reine angew. Math. 70 (1869) 289", FromMemory
);
reference!(
    /// Metabolic and breathing rates for eight levels of work.
    ISO_16976_1, "ISO/TS 16976-1", "ISO/TS 16976-1, Respiratory protective devices: human factors, part 1: metabolic rates and respiratory flow rates", FromMemory
);
reference!(
    /// Work of breathing per litre, from the loop of pressure against volume.
    ISO_16900_12, "ISO 16900-12", "ISO 16900-12, Respiratory protective devices: methods of test, part 12: volume-averaged work of breathing and peak respiratory pressures", FromMemory
);

reference!(
    /// Diffusion in the fan model.
    KIRSCH_FUCHS_1968, "Kirsch and Fuchs 1968", "A. A. Kirsch, N. A. Fuchs, Ann. Occup. Hyg. 11 (1968) 299", FromMemory
);

reference!(
    /// Diffusion of nanoparticles in commercial media.
    WANG_2007, "Wang, Chen and Pui 2007", "J. Wang, D. R. Chen, D. Y. H. Pui, J. Nanopart. Res. 9 (2007) 109", FromMemory
);

reference!(
    /// Interception with a power of 1 + R.
    LEE_GIESEKE_1980, "Lee and Gieseke 1980", "K. W. Lee, J. A. Gieseke, J. Aerosol Sci. 11 (1980) 335", FromMemory
);

reference!(
    /// Impaction on an isolated cylinder.
    LANDAHL_HERRMANN_1949, "Landahl and Herrmann 1949", "H. D. Landahl, R. G. Herrmann, J. Colloid Sci. 4 (1949) 103", FromMemory
);

reference!(
    /// Impaction as a power of the Stokes number.
    GOUGEON_1996, "Gougeon et al. 1996", "R. Gougeon, D. Boulaud, A. Renoux, Chem. Eng. Commun. 151 (1996) 19", FromMemory
);

reference!(
    /// Interception and impaction to a fibre Reynolds number of 500.
    SUNEJA_LEE_1974, "Suneja and Lee 1974", "S. K. Suneja, C. H. Lee, Atmos. Environ. 8 (1974) 1081", FromMemory
);

reference!(
    /// How far laboratories differ that measure the penetration of the same sheets: 26 % of ln P, expanded (abstract).
    SIPKENS_2025, "Sipkens et al. 2025", "T. A. Sipkens et al. 2025, how laboratories differ in the filtration of mask materials: the figure is from its abstract, its title is not at hand", Read
);

reference!(
    /// The test of chains that says whether they agree, and what they are worth.
    VEHTARI_2021, "Vehtari et al. 2021", "A. Vehtari, A. Gelman, D. Simpson, B. Carpenter, P.-C. Bürkner, Rank-normalization, folding, and localization: an improved R-hat, Bayesian Anal. 16 (2021) 667", FromMemory
);

reference!(
    /// Steps that learn their shape from the chain.
    HAARIO_2001, "Haario et al. 2001", "H. Haario, E. Saksman, J. Tamminen, An adaptive Metropolis algorithm, Bernoulli 7 (2001) 223", FromMemory
);

reference!(
    /// Elliptical slices.
    MURRAY_2010, "Murray et al. 2010", "I. Murray, R. P. Adams, D. J. C. MacKay, Elliptical slice sampling, AISTATS (2010), J. Mach. Learn. Res. W&CP 9, 541", FromMemory
);

reference!(
    /// Whether a sampler finds what data were made from: ranks are even.
    TALTS_2018, "Talts et al. 2018", "S. Talts, M. Betancourt, D. Simpson, A. Vehtari, A. Gelman, Validating Bayesian inference algorithms with simulation-based calibration, arXiv:1804.06788 (2018)", FromMemory
);

reference!(
    /// Many steps by a surrogate, taken or refused together.
    LIU_2001, "Liu 2001", "J. S. Liu, Monte Carlo Strategies in Scientific Computing, Springer (2001), section 9.4.3", FromMemory
);
