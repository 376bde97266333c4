/** User preferences: unit and theme. Stored in this browser only. */
import type { UnitsCode } from '../api/schema';

/** Theme: of the system, or chosen. */
export type Theme = 'auto' | 'light' | 'dark';

const dark = window.matchMedia('(prefers-color-scheme: dark)');

class Prefs {
  units = $state<UnitsCode>(read('units', ['mm', 'in'], 'mm') as UnitsCode);
  theme = $state<Theme>(read('theme', ['auto', 'light', 'dark'], 'auto') as Theme);
  private systemDark = $state(dark.matches);

  constructor() {
    dark.addEventListener('change', (event) => (this.systemDark = event.matches));
  }

  /** Whether the theme is dark now. */
  get dark(): boolean {
    return this.theme === 'auto' ? this.systemDark : this.theme === 'dark';
  }

  /** Whether the user has chosen a unit here. */
  get unitsChosen(): boolean {
    return store()?.getItem('tubewright.units') !== null;
  }

  setUnits(units: UnitsCode): void {
    this.units = units;
    store()?.setItem('tubewright.units', units);
  }

  setTheme(theme: Theme): void {
    this.theme = theme;
    store()?.setItem('tubewright.theme', theme);
  }
}

function read(key: string, allowed: string[], otherwise: string): string {
  const value = store()?.getItem(`tubewright.${key}`);
  return value && allowed.includes(value) ? value : otherwise;
}

function store(): Storage | null {
  try {
    return window.localStorage;
  } catch {
    return null; // A browser without storage: the page works, it only forgets.
  }
}

export const prefs = new Prefs();
