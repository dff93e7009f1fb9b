/** The parts of psychrolib that the cross-checks use; the package carries no types. RH is a fraction there. */
declare module 'psychrolib' {
  interface Psychrometrics {
    IP: number
    SI: number
    SetUnitSystem(system: number): void
    GetSatVapPres(tempC: number): number
    GetVapPresFromRelHum(tempC: number, rh: number): number
    GetRelHumFromVapPres(tempC: number, vaporPressurePa: number): number
    GetTDewPointFromVapPres(tempC: number, vaporPressurePa: number): number
    GetTDewPointFromRelHum(tempC: number, rh: number): number
    GetTWetBulbFromRelHum(tempC: number, rh: number, pressurePa: number): number
    GetHumRatioFromVapPres(vaporPressurePa: number, pressurePa: number): number
    GetHumRatioFromRelHum(tempC: number, rh: number, pressurePa: number): number
    GetMoistAirEnthalpy(tempC: number, humidityRatio: number): number
    GetMoistAirVolume(tempC: number, humidityRatio: number, pressurePa: number): number
    GetStandardAtmPressure(elevationM: number): number
  }
  const psychrolib: Psychrometrics
  export default psychrolib
}
