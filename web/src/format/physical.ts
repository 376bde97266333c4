/** Temperatures, forces, moments, stresses and the like: SI beside mm, customary units beside inches. */
import type { UnitsCode } from '../api/schema';

const whole = (value: number) => String(Math.round(value)).replace('-0', '0');

/** A temperature without its unit. */
export function temperature(celsius: number, units: UnitsCode): string {
  return whole(units === 'in' ? celsius * 1.8 + 32 : celsius);
}

export const temperatureUnit = (units: UnitsCode) => (units === 'in' ? '°F' : '°C');

/** A force with its unit. */
export function showForce(newtons: number, units: UnitsCode): string {
  return units === 'in' ? `${whole(newtons / 4.4482216)} lbf` : `${whole(newtons)} N`;
}

/** A moment or torque with its unit. */
export function showMoment(newtonMetres: number, units: UnitsCode): string {
  return units === 'in' ? `${whole(newtonMetres / 1.3558179)} lb ft` : `${whole(newtonMetres)} Nm`;
}

/** A stress with its unit. */
export function showStress(megapascals: number, units: UnitsCode): string {
  return units === 'in' ? `${(megapascals / 6.8947573).toFixed(1)} ksi` : `${whole(megapascals)} MPa`;
}

/** A count as a person would say it: `about 3,000`. */
export function roughly(count: number): string {
  const digits = 10 ** Math.max(Math.floor(Math.log10(Math.max(count, 1))), 0);
  return (Math.round(count / digits) * digits).toLocaleString('en');
}

/** A torque as a number of its unit. */
export const momentIn = (newtonMetres: number, units: UnitsCode) => (units === 'in' ? newtonMetres / 1.3558179 : newtonMetres);
export const momentUnit = (units: UnitsCode) => (units === 'in' ? 'lb ft' : 'Nm');

/** A power as a number of its unit. */
export const powerIn = (kilowatts: number, units: UnitsCode) => (units === 'in' ? kilowatts / 0.74569987 : kilowatts);
export const powerUnit = (units: UnitsCode) => (units === 'in' ? 'hp' : 'kW');
export const showPower = (kilowatts: number, units: UnitsCode) => whole(powerIn(kilowatts, units));

/** A pressure as a number of its unit. */
export const pressureIn = (kilopascals: number, units: UnitsCode) => (units === 'in' ? kilopascals / 6.8947573 : kilopascals);
export const pressureUnit = (units: UnitsCode) => (units === 'in' ? 'psi' : 'kPa');
