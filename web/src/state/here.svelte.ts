/** The current place of the page, stored in the URL fragment so that reload and back work. */
import { addressOf, readPlace, type Place } from './place';

class Here {
  place = $state.raw<Place>(readPlace(window.location.hash));

  constructor() {
    window.addEventListener('hashchange', () => (this.place = readPlace(window.location.hash)));
  }

  go(place: Place): void {
    window.location.hash = addressOf(place);
  }
}

export const here = new Here();
