"""The columns that are known: Darwin Core terms, our own columns, and everyday words that mean one of them.

Source of the terms: Darwin Core quick reference guide (TDWG). Source of the own columns: VERDICTS, section 8.
The everyday words are common practice, no source.
"""

from typing import Final

DARWIN_CORE: Final[tuple[str, ...]] = (
    "type", "modified", "language", "license", "rightsHolder", "accessRights", "bibliographicCitation",
    "references", "institutionID", "collectionID", "datasetID", "institutionCode", "collectionCode", "datasetName",
    "ownerInstitutionCode", "basisOfRecord", "informationWithheld", "dataGeneralizations", "dynamicProperties",
    "occurrenceID", "catalogNumber", "recordNumber", "recordedBy", "recordedByID", "individualCount",
    "organismQuantity", "organismQuantityType", "sex", "lifeStage", "reproductiveCondition", "caste", "behavior",
    "vitality", "establishmentMeans", "degreeOfEstablishment", "pathway", "georeferenceVerificationStatus",
    "occurrenceStatus", "associatedMedia", "associatedOccurrences", "associatedReferences", "associatedTaxa",
    "otherCatalogNumbers", "occurrenceRemarks", "organismID", "organismName", "organismScope",
    "associatedOrganisms", "previousIdentifications", "organismRemarks", "materialEntityID", "preparations",
    "disposition", "verbatimLabel", "associatedSequences", "materialEntityRemarks", "materialEntityType",
    "materialSampleID", "eventID", "parentEventID", "eventType", "fieldNumber", "projectTitle", "projectID",
    "eventDate", "eventTime", "startDayOfYear", "endDayOfYear", "year", "month", "day", "verbatimEventDate",
    "habitat", "samplingProtocol", "sampleSizeValue", "sampleSizeUnit", "samplingEffort", "fieldNotes",
    "eventRemarks", "locationID", "higherGeographyID", "higherGeography", "continent", "waterBody", "islandGroup",
    "island", "country", "countryCode", "stateProvince", "county", "municipality", "locality", "verbatimLocality",
    "minimumElevationInMeters", "maximumElevationInMeters", "verbatimElevation", "verticalDatum",
    "minimumDepthInMeters", "maximumDepthInMeters", "verbatimDepth", "minimumDistanceAboveSurfaceInMeters",
    "maximumDistanceAboveSurfaceInMeters", "locationAccordingTo", "locationRemarks", "decimalLatitude",
    "decimalLongitude", "geodeticDatum", "coordinateUncertaintyInMeters", "coordinatePrecision",
    "pointRadiusSpatialFit", "verbatimCoordinates", "verbatimLatitude", "verbatimLongitude",
    "verbatimCoordinateSystem", "verbatimSRS", "footprintWKT", "footprintSRS", "footprintSpatialFit",
    "georeferencedBy", "georeferencedDate", "georeferenceProtocol", "georeferenceSources", "georeferenceRemarks",
    "identificationID", "verbatimIdentification", "identificationQualifier", "typeStatus", "identifiedBy",
    "identifiedByID", "dateIdentified", "identificationReferences", "identificationVerificationStatus",
    "identificationRemarks", "taxonID", "scientificNameID", "acceptedNameUsageID", "parentNameUsageID",
    "originalNameUsageID", "nameAccordingToID", "namePublishedInID", "taxonConceptID", "scientificName",
    "acceptedNameUsage", "parentNameUsage", "originalNameUsage", "nameAccordingTo", "namePublishedIn",
    "namePublishedInYear", "higherClassification", "kingdom", "phylum", "class", "order", "superfamily", "family",
    "subfamily", "tribe", "subtribe", "genus", "genericName", "subgenus", "infragenericEpithet", "specificEpithet",
    "infraspecificEpithet", "cultivarEpithet", "taxonRank", "verbatimTaxonRank", "scientificNameAuthorship",
    "vernacularName", "nomenclaturalCode", "taxonomicStatus", "nomenclaturalStatus", "taxonRemarks",
)  # fmt: skip

OWN: Final[tuple[str, ...]] = (
    "accessionNumber", "accessionPart", "siteName", "countRange", "unit", "takenFrom", "exportedOn", "importedOn",
    "transferredOn",
)  # fmt: skip

KNOWN: Final[frozenset[str]] = frozenset(DARWIN_CORE) | frozenset(OWN)

EVERYDAY: Final[dict[str, tuple[str, ...]]] = {
    "catalogNumber": ("catno", "catalogno", "catalognum", "cataloguenumber", "catalogueno", "cataloguenum",
                      "specimennumber", "specimenno", "specimenid", "museumnumber", "museumno"),
    "accessionNumber": ("accession", "accessionno", "accno", "accessionid"),
    "eventDate": ("date", "collectiondate", "collectingdate", "datecollected", "collectedon", "samplingdate"),
    "verbatimEventDate": ("verbatimdate", "labeldate", "dateonlabel"),
    "decimalLatitude": ("lat", "latitude", "latitudedecimal", "latdecimal", "decimallat"),
    "decimalLongitude": ("lon", "long", "lng", "longitude", "longitudedecimal", "longdecimal", "decimallon",
                         "decimallong"),
    "geodeticDatum": ("datum", "geodesicdatum", "mapdatum"),
    "coordinateUncertaintyInMeters": ("uncertainty", "uncertaintym", "uncertaintyinm", "uncertaintymeters",
                                      "uncertaintyinmeters", "uncertaintymetres", "uncertaintyinmetres",
                                      "coordinateuncertainty", "coordinateuncertaintym", "radius", "radiusm",
                                      "coordinateuncertaintyinmetres", "errorm", "errorinm", "errorinmeters",
                                      "errorinmetres", "errorradius", "errorradiusm"),
    "countryCode": ("isocountry", "isocountrycode", "countryiso"),
    "stateProvince": ("state", "province", "stateorprovince"),
    "locationID": ("localityid", "siteid", "sitecode", "locationcode", "localitycode"),
    "siteName": ("site", "samplingsite"),
    "recordedBy": ("collector", "collectors", "collectedby", "leg", "legit", "recorder", "recorders", "coll"),
    "samplingProtocol": ("method", "methods", "trap", "traptype", "collectingmethod", "collectionmethod",
                         "samplingmethod"),
    "occurrenceRemarks": ("remarks", "remark", "notes", "comments"),
    "individualCount": ("count", "numberofspecimens", "noofspecimens", "nspecimens", "n", "numberofindividuals",
                        "noofindividuals", "specimencount", "individuals"),
    "sex": ("gender",),
    "lifeStage": ("stage",),
    "scientificName": ("species", "taxon", "taxonname", "latinname", "speciesname", "fullname"),
    "scientificNameAuthorship": ("author", "authorship", "nameauthor"),
    "identificationQualifier": ("qualifier",),
    "identifiedBy": ("det", "determiner", "determinedby"),
    "eventID": ("event", "eventno", "eventnumber", "samplingevent"),
    "exportedOn": ("exportdate", "dateexported", "dateofexport", "exported"),
    "importedOn": ("importdate", "dateimported", "dateofimport", "imported"),
    "transferredOn": ("transferdate", "datetransferred", "dateoftransfer", "transferred"),
}  # fmt: skip
"""Keys as ``columns.header_key`` makes them: letters and digits alone, lower case."""
