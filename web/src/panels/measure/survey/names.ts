/** Names of points that are probably meant to be the same. */

/** Letters and digits only, lower case. */
const plain = (name: string) => name.toLowerCase().replace(/[^\p{L}\p{N}]/gu, '');

/** A known name that this one looks like, but is not; null when it is known or plainly another. */
export function likeName(name: string, known: string[]): string | null {
  if (name === '' || known.includes(name)) return null;
  const own = plain(name);
  return known.find((k) => plain(k) === own || (digits(own) === digits(plain(k)) && own.length > 4 && oneEdit(own, plain(k)))) ?? null;
}

/** Numbers tell points apart: port 1 is not port 2. */
const digits = (name: string) => name.replace(/\P{N}/gu, '');

/** Whether one letter more, less or other makes one text of the other, or two neighbours changed places. */
export function oneEdit(a: string, b: string): boolean {
  if (a.length > b.length) return oneEdit(b, a);
  if (b.length - a.length > 1) return false;
  let same = 0;
  while (same < a.length && a[same] === b[same]) same++;
  if (a.length < b.length) return a.slice(same) === b.slice(same + 1);
  const swapped = a[same] === b[same + 1] && a[same + 1] === b[same] && a.slice(same + 2) === b.slice(same + 2);
  return a !== b && (a.slice(same + 1) === b.slice(same + 1) || swapped);
}
