//! Headings of field forms in languages other than English.
//!
//! A heading is a line more in its language's table, as people write it: case, accents, hyphens and other marks
//! do not count, and units and references are taken off it as off any other. What may be a depth or an elevation
//! belongs to `LEVEL` of the vocabulary, not here; neither do depths below ground, which are none below the
//! measuring point (Flurabstand, soggiacenza).
//!
//! Common practice, no source, but for these words, which the named pages use: Messpunkt, GOK, NN (Stammdaten der
//! Grundwassermessstellen, environment ministry of Lower Saxony); POK, m u POK (groundwater tables of the town of
//! Maintal); Abstich (Hoelting, Hydrogeologie, as excerpted); cote NGF, repere (ADES, BRGM); peilbuis, NAP, stijghoogte
//! (Wikipedia, Peilbuis); boccapozzo, piano campagna (survey reports); 観測井番号, 地盤高 (TP.m)
//! (tables of the Japanese ministry of land, MLIT).

use std::collections::BTreeMap;

use super::columns::Column;

/// The headings of one language, by column.
type Headings = &'static [(Column, &'static [&'static str])];

/// Every language with its headings.
pub(in crate::read) const LANGUAGES: &[(&str, Headings)] = &[
    ("German", GERMAN),
    ("French", FRENCH),
    ("Spanish", SPANISH),
    ("Portuguese", PORTUGUESE),
    ("Italian", ITALIAN),
    ("Dutch", DUTCH),
    ("Japanese", JAPANESE),
];

const GERMAN: Headings = &[
    (
        Column::Id,
        &[
            "Grundwassermessstelle",
            "Messstelle",
            "Messstellenname",
            "Messstellennummer",
            "Messstellenbezeichnung",
            "Name der Messstelle",
            "GWM",
            "Pegel",
            "Pegelname",
            "Brunnen",
            "Bohrung",
            "Bezeichnung",
        ],
    ),
    (Column::Easting, &["Rechtswert", "Ostwert", "Ost", "RW"]),
    (Column::Northing, &["Hochwert", "Nordwert", "Nord", "HW"]),
    (Column::Longitude, &["Längengrad", "Geographische Länge"]),
    (Column::Latitude, &["Breitengrad", "Geographische Breite"]),
    (Column::AquiferUnit, &["Grundwasserleiter", "GW-Leiter"]),
    (
        Column::MeasuringPointElevation,
        &[
            "Messpunkthöhe",
            "Höhe Messpunkt",
            "Höhe des Messpunktes",
            "MP-Höhe",
            "Höhe MP",
            "Pegeloberkante",
            "POK",
            "POK-Höhe",
            "Höhe POK",
            "Rohroberkante",
            "ROK",
            "Höhe ROK",
        ],
    ),
    (Column::GroundElevation, &["Geländehöhe", "Geländeoberkante", "GOK", "GOK-Höhe", "Höhe GOK"]),
    (Column::TotalDepth, &["Ausbautiefe", "Endteufe", "Endtiefe", "Sohltiefe"]),
    (Column::SoundedDepth, &["Gelotete Tiefe", "Lottiefe"]),
    (Column::ScreenTop, &["Filter von"]),
    (Column::ScreenBottom, &["Filter bis"]),
    (Column::Date, &["Messdatum", "Datum der Messung", "Stichtag"]),
    (Column::Time, &["Uhrzeit", "Zeit", "Messzeit"]),
    (Column::DateTime, &["Zeitpunkt", "Messzeitpunkt", "Datum Uhrzeit", "Datum und Uhrzeit"]),
    (Column::DepthToWater, &["Abstich", "Abstichmaß", "Abstich Wasser"]),
    (Column::DepthToProduct, &["Abstich Phase", "Abstich Öl"]),
    (
        Column::ProductThickness,
        &["Phasenmächtigkeit", "Phasendicke", "Schichtdicke Phase", "Ölschichtdicke"],
    ),
    (
        Column::Elevation,
        &["Grundwasserhöhe", "Grundwasserspiegelhöhe", "Wasserspiegelhöhe", "Standrohrspiegelhöhe"],
    ),
    (Column::Remark, &["Bemerkung", "Bemerkungen", "Anmerkung", "Anmerkungen", "Kommentar"]),
];

const FRENCH: Headings = &[
    (
        Column::Id,
        &[
            "Piézomètre",
            "Ouvrage",
            "Nom de l'ouvrage",
            "Point d'eau",
            "Forage",
            "Puits",
            "Désignation",
            "Identifiant",
        ],
    ),
    (Column::Easting, &["Est", "Coordonnée X", "X Lambert 93", "X L93"]),
    (Column::Northing, &["Nord", "Coordonnée Y", "Y Lambert 93", "Y L93"]),
    (Column::AquiferUnit, &["Nappe", "Nappe captée", "Aquifère", "Aquifère capté"]),
    (
        Column::MeasuringPointElevation,
        &[
            "Cote du repère",
            "Cote repère",
            "Altitude du repère",
            "Altitude repère",
            "Cote de la tête",
            "Cote tête de tubage",
            "Cote tubage",
            "Cote margelle",
        ],
    ),
    (
        Column::GroundElevation,
        &["Cote du sol", "Cote sol", "Altitude du sol", "Cote TN", "Cote du terrain naturel"],
    ),
    (Column::TotalDepth, &["Profondeur totale", "Profondeur de l'ouvrage", "Profondeur ouvrage"]),
    (Column::ScreenTop, &["Haut de crépine", "Haut crépine", "Sommet crépine"]),
    (Column::ScreenBottom, &["Bas de crépine", "Bas crépine", "Base crépine"]),
    (Column::Date, &["Date de mesure", "Date mesure", "Date du relevé", "Date de relevé"]),
    (Column::Time, &["Heure", "Heure de mesure"]),
    (Column::DateTime, &["Date et heure", "Date heure"]),
    (
        Column::DepthToWater,
        &[
            "Profondeur de l'eau",
            "Profondeur eau",
            "Profondeur de la nappe",
            "Profondeur nappe",
            "Profondeur du niveau d'eau",
            "Profondeur par rapport au repère",
        ],
    ),
    (
        Column::DepthToProduct,
        &["Profondeur du flottant", "Profondeur flottant", "Profondeur produit"],
    ),
    (
        Column::ProductThickness,
        &["Épaisseur de flottant", "Épaisseur flottant", "Épaisseur de produit"],
    ),
    (
        Column::Elevation,
        &[
            "Cote piézométrique",
            "Cote de l'eau",
            "Cote eau",
            "Cote de la nappe",
            "Cote nappe",
            "Charge hydraulique",
        ],
    ),
    (
        Column::Remark,
        &["Remarque", "Remarques", "Observation", "Observations", "Commentaire", "Commentaires"],
    ),
];

const SPANISH: Headings = &[
    (
        Column::Id,
        &[
            "Pozo",
            "Piezómetro",
            "Sondeo",
            "Punto",
            "Punto de agua",
            "Nombre",
            "Nombre del pozo",
            "Código",
            "Identificación",
        ],
    ),
    (Column::Easting, &["Este", "Coordenada X", "Coordenada este"]),
    (Column::Northing, &["Norte", "Coordenada Y", "Coordenada norte"]),
    (Column::Longitude, &["Longitud"]),
    (Column::Latitude, &["Latitud"]),
    (Column::AquiferUnit, &["Acuífero", "Acuífero captado", "Unidad hidrogeológica"]),
    (
        Column::MeasuringPointElevation,
        &[
            "Cota boca de pozo",
            "Cota de boca",
            "Cota boca",
            "Cota del brocal",
            "Cota brocal",
            "Elevación del brocal",
            "Cota de referencia",
            "Cota del punto de referencia",
        ],
    ),
    (Column::GroundElevation, &["Cota del terreno", "Cota terreno", "Elevación del terreno"]),
    (Column::TotalDepth, &["Profundidad total", "Profundidad del pozo", "Profundidad pozo"]),
    (
        Column::Date,
        &["Fecha", "Fecha de medición", "Fecha medición", "Fecha de medida", "Fecha de lectura"],
    ),
    (Column::Time, &["Hora", "Hora de medición"]),
    (Column::DateTime, &["Fecha y hora", "Fecha hora"]),
    (
        Column::DepthToWater,
        &[
            "Profundidad del agua",
            "Profundidad al agua",
            "Profundidad de agua",
            "Profundidad del nivel",
            "Profundidad del nivel de agua",
            "Profundidad del nivel freático",
            "Profundidad nivel freático",
        ],
    ),
    (
        Column::DepthToProduct,
        &["Profundidad del producto", "Profundidad de producto", "Profundidad fase libre"],
    ),
    (
        Column::ProductThickness,
        &["Espesor de producto", "Espesor de fase libre", "Espesor fase libre"],
    ),
    (
        Column::Elevation,
        &[
            "Cota del agua",
            "Cota piezométrica",
            "Cota del nivel freático",
            "Cota del nivel de agua",
            "Elevación del agua",
            "Carga hidráulica",
        ],
    ),
    (Column::Remark, &["Observaciones", "Comentario", "Comentarios", "Notas"]),
];

const PORTUGUESE: Headings = &[
    (
        Column::Id,
        &["Poço", "Poço de monitoramento", "Piezômetro", "Ponto", "Nome", "Identificação"],
    ),
    (Column::Easting, &["Leste"]),
    (Column::AquiferUnit, &["Aquífero"]),
    (
        Column::MeasuringPointElevation,
        &[
            "Cota da boca",
            "Cota da boca do poço",
            "Cota do topo",
            "Cota de topo",
            "Cota do tubo",
            "Cota do revestimento",
        ],
    ),
    (Column::GroundElevation, &["Cota do terreno"]),
    (Column::TotalDepth, &["Profundidade total", "Profundidade do poço"]),
    (Column::Date, &["Data da medição", "Data de medição", "Data medição", "Data de leitura"]),
    (Column::Time, &["Horário"]),
    (Column::DateTime, &["Data e hora", "Data hora"]),
    (
        Column::DepthToWater,
        &[
            "Profundidade da água",
            "Profundidade do nível d'água",
            "Profundidade do nível de água",
            "Profundidade do NA",
        ],
    ),
    (
        Column::DepthToProduct,
        &["Profundidade da fase livre", "Profundidade do óleo", "Profundidade do produto"],
    ),
    (
        Column::ProductThickness,
        &["Espessura de fase livre", "Espessura da fase livre", "Espessura do produto"],
    ),
    (Column::Elevation, &["Cota do NA", "Cota da água", "Cota do nível d'água"]),
    (Column::Remark, &["Observação", "Observações", "Comentários"]),
];

const ITALIAN: Headings = &[
    (
        Column::Id,
        &["Piezometro", "Pozzo", "Sondaggio", "Punto di misura", "Denominazione", "Codice"],
    ),
    (Column::Easting, &["Coordinata X", "Coordinata est"]),
    (Column::Northing, &["Coordinata Y", "Coordinata nord"]),
    (Column::Longitude, &["Longitudine"]),
    (Column::Latitude, &["Latitudine"]),
    (Column::AquiferUnit, &["Acquifero", "Falda"]),
    (
        Column::MeasuringPointElevation,
        &[
            "Quota bocca pozzo",
            "Quota boccapozzo",
            "Quota bocca piezometro",
            "Quota testa pozzo",
            "Quota testa tubo",
            "Quota b.p.",
        ],
    ),
    (Column::GroundElevation, &["Quota piano campagna", "Quota p.c.", "Quota terreno"]),
    (Column::TotalDepth, &["Profondità pozzo", "Profondità piezometro", "Profondità totale"]),
    (Column::Date, &["Data misura", "Data di misura", "Data rilievo", "Data lettura"]),
    (Column::Time, &["Ora", "Ora misura"]),
    (Column::DateTime, &["Data e ora", "Data ora"]),
    (
        Column::DepthToWater,
        &[
            "Profondità acqua",
            "Profondità dell'acqua",
            "Profondità falda",
            "Profondità della falda",
        ],
    ),
    (Column::DepthToProduct, &["Profondità prodotto", "Profondità surnatante"]),
    (
        Column::ProductThickness,
        &["Spessore prodotto", "Spessore surnatante", "Spessore del surnatante"],
    ),
    (
        Column::Elevation,
        &[
            "Quota falda",
            "Quota della falda",
            "Quota acqua",
            "Quota piezometrica",
            "Carico idraulico",
        ],
    ),
    (Column::Remark, &["Osservazioni"]),
];

const DUTCH: Headings = &[
    (Column::Id, &["Peilbuis", "Peilbuisnummer", "Meetpunt", "Naam", "Locatie", "Boring", "Put"]),
    (Column::Easting, &["X-coördinaat", "X-coordinaat"]),
    (Column::Northing, &["Y-coördinaat", "Y-coordinaat"]),
    (Column::AquiferUnit, &["Watervoerend pakket", "WVP"]),
    (
        Column::MeasuringPointElevation,
        &[
            "Bovenkant peilbuis",
            "Bovenkant buis",
            "Hoogte bovenkant peilbuis",
            "Hoogte bovenkant buis",
            "Hoogte meetpunt",
            "Meetpunthoogte",
            "BKB",
        ],
    ),
    (Column::GroundElevation, &["Maaiveld", "Maaiveldhoogte", "Hoogte maaiveld"]),
    (Column::TotalDepth, &["Diepte peilbuis", "Buisdiepte"]),
    (Column::ScreenTop, &["Filter van"]),
    (Column::ScreenBottom, &["Filter tot"]),
    (Column::Date, &["Meetdatum", "Datum meting", "Opnamedatum"]),
    (Column::Time, &["Tijd", "Tijdstip"]),
    (Column::DateTime, &["Datum en tijd", "Datum tijd"]),
    (Column::DepthToWater, &["Diepte tot water", "Diepte grondwater", "Grondwaterdiepte"]),
    (Column::DepthToProduct, &["Diepte drijflaag", "Diepte product"]),
    (Column::ProductThickness, &["Dikte drijflaag", "Drijflaagdikte", "Dikte product"]),
    (Column::Elevation, &["Hoogte grondwater", "Grondwaterhoogte"]),
    (Column::Remark, &["Opmerking", "Opmerkingen"]),
];

const JAPANESE: Headings = &[
    (
        Column::Id,
        &["井戸番号", "井戸名", "観測井", "観測井番号", "観測井名", "孔番", "孔番号", "地点名"],
    ),
    (Column::Easting, &["東座標"]),
    (Column::Northing, &["北座標"]),
    (Column::Longitude, &["経度"]),
    (Column::Latitude, &["緯度"]),
    (Column::AquiferUnit, &["帯水層", "対象帯水層"]),
    (Column::MeasuringPointElevation, &["管頭標高", "管頭高", "孔口標高", "基準点標高"]),
    (Column::GroundElevation, &["地盤高", "地盤標高", "地表標高"]),
    (Column::TotalDepth, &["井戸深度", "孔底深度"]),
    (Column::Date, &["測定日", "観測日", "測水日", "測定年月日", "日付"]),
    (Column::Time, &["測定時刻", "観測時刻", "時刻"]),
    (Column::DateTime, &["測定日時", "観測日時", "日時"]),
    (Column::DepthToWater, &["水位深度", "管頭下水位"]),
    (Column::ProductThickness, &["油層厚"]),
    (Column::Elevation, &["水位標高", "地下水位標高"]),
    (Column::Remark, &["備考"]),
];

/// The columns by heading, compared as `words` leaves them.
pub(in crate::read) fn by_words(words: impl Fn(&str) -> Vec<String>) -> BTreeMap<String, Column> {
    let all = LANGUAGES.iter().flat_map(|(_, columns)| columns.iter());
    all.flat_map(|(column, headings)| headings.iter().map(|h| (words(h).join(" "), *column)))
        .collect()
}

#[cfg(test)]
mod tests {
    use crate::read::table::columns::{REGISTER, ROUND, SINGLE};
    use crate::read::table::heading::recognise;

    use super::*;

    const DOCS: &str = include_str!("../../../docs/site-folder.md");

    #[test]
    fn every_heading_stands_for_its_column_with_and_without_accents() {
        for (language, columns) in LANGUAGES {
            for (column, headings) in *columns {
                for heading in *headings {
                    let found = |among: &[Column]| recognise(heading, among).map(|(c, _)| c);
                    assert_eq!(found(SINGLE), Some(*column), "{language}: {heading}");
                    let own = if REGISTER.contains(column) { REGISTER } else { ROUND };
                    assert_eq!(found(own), Some(*column), "{language}: {heading}");
                    assert!(DOCS.contains(&format!("`{heading}`")), "docs: {language}: {heading}");
                }
            }
        }
    }

    #[test]
    fn units_and_references_are_taken_off() {
        for (heading, column) in [
            ("Abstich (m u. MP)", Column::DepthToWater),
            ("ABSTICH [m]", Column::DepthToWater),
            ("Messpunkthoehe (m ü. NHN)", Column::MeasuringPointElevation),
            ("MP-Höhe (m NHN)", Column::MeasuringPointElevation),
            ("Wasserstand (m u. POK)", Column::DepthToWater),
            ("Grundwasserstand [m NHN]", Column::Elevation),
            ("COTE DU REPERE (m NGF)", Column::MeasuringPointElevation),
            ("Niveau piézométrique (m NGF)", Column::Elevation),
            ("Nivel freático (m.s.n.m.)", Column::Elevation),
            ("Soggiacenza (m da b.p.)", Column::DepthToWater),
            ("Stijghoogte (m+NAP)", Column::Elevation),
            ("Waterstand (m onder BKB)", Column::DepthToWater),
            ("管頭標高(T.P.m)", Column::MeasuringPointElevation),
            ("水位（管頭－ｍ）", Column::DepthToWater),
        ] {
            assert_eq!(recognise(heading, SINGLE).map(|(c, _)| c), Some(column), "{heading}");
        }
        for heading in ["Wasserstand (m)", "Flurabstand (m)", "水位", "soggiacenza", "X座標"] {
            assert_eq!(recognise(heading, SINGLE), None, "{heading}");
        }
    }
}
