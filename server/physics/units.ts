/**
 * The only unit conversions of the program: inside everything is SI, and people may see the other system. Names read
 * `toFrom`. Factors are exact by definition (NIST SP 811) unless a comment says otherwise.
 */
const times = (factor: number) => (value: number) => value * factor
const over = (factor: number) => (value: number) => value / factor

// Temperature. A difference of temperatures has no offset: mixing the two forms up is the classic mistake.
export const celsiusFromFahrenheit = (tempF: number) => (tempF - 32) / 1.8
export const fahrenheitFromCelsius = (tempC: number) => tempC * 1.8 + 32
export const kelvinFromCelsius = (tempC: number) => tempC + 273.15
export const celsiusFromKelvin = (tempK: number) => tempK - 273.15
export const kelvinDifferenceFromFahrenheit = over(1.8)
export const fahrenheitDifferenceFromKelvin = times(1.8)

// Pressure. Inches of mercury at 0 °C (barometers), 3386.389 Pa.
const PA_PER_IN_HG = 3386.389
const PA_PER_MM_HG = 133.322387415
const PA_PER_PSI = 6894.757293168
export const paFromHectopascals = times(100)
export const hectopascalsFromPa = over(100)
export const paFromKilopascals = times(1000)
export const kilopascalsFromPa = over(1000)
export const paFromInchesOfMercury = times(PA_PER_IN_HG)
export const inchesOfMercuryFromPa = over(PA_PER_IN_HG)
export const paFromMmOfMercury = times(PA_PER_MM_HG)
export const mmOfMercuryFromPa = over(PA_PER_MM_HG)
export const paFromPsi = times(PA_PER_PSI)
export const psiFromPa = over(PA_PER_PSI)

// Length, area, volume
const M_PER_FT = 0.3048
const M2_PER_FT2 = M_PER_FT ** 2
const M3_PER_FT3 = M_PER_FT ** 3
const M2_PER_ACRE = 4046.8564224 // international acre
export const mmFromInches = times(25.4)
export const inchesFromMm = over(25.4)
export const metersFromFeet = times(M_PER_FT)
export const feetFromMeters = over(M_PER_FT)
export const m2FromSquareFeet = times(M2_PER_FT2)
export const squareFeetFromM2 = over(M2_PER_FT2)
export const m2FromAcres = times(M2_PER_ACRE)
export const acresFromM2 = over(M2_PER_ACRE)
export const m3FromCubicFeet = times(M3_PER_FT3)
export const cubicFeetFromM3 = over(M3_PER_FT3)

// Liquid, US measure
const L_PER_GALLON = 3.785411784
const L_PER_PINT = L_PER_GALLON / 8
export const litersFromGallons = times(L_PER_GALLON)
export const gallonsFromLiters = over(L_PER_GALLON)
export const litersFromPints = times(L_PER_PINT)
export const pintsFromLiters = over(L_PER_PINT)
// A rate converts like its amount; the names exist so that the edges read well.
export const litersPerDayFromPintsPerDay = litersFromPints
export const pintsPerDayFromLitersPerDay = pintsFromLiters

// Flow
const M3_S_PER_GPM = L_PER_GALLON / 60_000
export const m3sFromGpm = times(M3_S_PER_GPM)
export const gpmFromM3s = over(M3_S_PER_GPM)
export const m3sFromCubicFeetPerSecond = times(M3_PER_FT3)
export const cubicFeetPerSecondFromM3s = over(M3_PER_FT3)
export const m3hFromCfm = times(M3_PER_FT3 * 60)
export const cfmFromM3h = over(M3_PER_FT3 * 60)
export const msFromMph = times(0.44704)
export const mphFromMs = over(0.44704)

// Mass and humidity
const KG_PER_LB = 0.45359237
const GRAINS_PER_LB = 7000
export const kgFromPounds = times(KG_PER_LB)
export const poundsFromKg = over(KG_PER_LB)
export const humidityRatioFromGrainsPerLb = over(GRAINS_PER_LB)
export const grainsPerLbFromHumidityRatio = times(GRAINS_PER_LB)
export const humidityRatioFromGKg = over(1000)
export const gKgFromHumidityRatio = times(1000)
const KG_M2_PER_LB_1000FT2 = KG_PER_LB / (1000 * M2_PER_FT2)
export const kgM2FromPoundsPer1000Ft2 = times(KG_M2_PER_LB_1000FT2)
export const poundsPer1000Ft2FromKgM2 = over(KG_M2_PER_LB_1000FT2)
/** One US perm, grain/(h ft² inHg), in kg/(Pa s m²); with mercury at 0 °C, as the definition has it. */
const KG_PA_S_M2_PER_PERM = KG_PER_LB / GRAINS_PER_LB / (3600 * M2_PER_FT2 * PA_PER_IN_HG)
export const permeanceFromPerms = times(KG_PA_S_M2_PER_PERM)
export const permsFromPermeance = over(KG_PA_S_M2_PER_PERM)

// Energy and heat, international-table Btu
const J_PER_BTU = 1055.05585262
export const joulesFromBtu = times(J_PER_BTU)
export const btuFromJoules = over(J_PER_BTU)
export const wattsFromBtuPerHour = times(J_PER_BTU / 3600)
export const btuPerHourFromWatts = over(J_PER_BTU / 3600)
export const joulesFromKwh = times(3.6e6)
export const kwhFromJoules = over(3.6e6)
/** Thermal resistance: h ft² °F/Btu (R-value) and m² K/W. */
const M2_K_W_PER_R = (3600 * M2_PER_FT2) / (1.8 * J_PER_BTU)
export const m2kwFromRValue = times(M2_K_W_PER_R)
export const rValueFromM2kw = over(M2_K_W_PER_R)
