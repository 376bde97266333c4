/** Places of the page and their URL fragments. */

export const STEPS = ['measure', 'size', 'route', 'strength', 'cut', 'price', 'papers', 'fit'] as const;
export type StepName = (typeof STEPS)[number];

/** The list of jobs, stock and prices, one step of a job, or its saw view. */
export type Place = { page: 'jobs' } | { page: 'shelf' } | { page: 'job'; id: string; step: StepName } | { page: 'saw'; id: string };

/** Parses a URL fragment. */
export function readPlace(hash: string): Place {
  const [page, id, step] = hash.replace(/^#\/?/, '').split('/').map(decodeURIComponent);
  if (page === 'shelf') return { page };
  if (page === 'saw' && id) return { page, id };
  if (page === 'job' && id) {
    const known = STEPS.find((name) => name === step);
    return { page, id, step: known ?? 'route' };
  }
  return { page: 'jobs' };
}

/** The URL fragment of a place. */
export function addressOf(place: Place): string {
  switch (place.page) {
    case 'jobs':
      return '#/';
    case 'shelf':
      return '#/shelf';
    case 'saw':
      return `#/saw/${encodeURIComponent(place.id)}`;
    case 'job':
      return `#/job/${encodeURIComponent(place.id)}/${place.step}`;
  }
}
