/** Freeing what three.js keeps on the graphics card. */
import type { Group, Mesh, Object3D } from 'three';

/** Empties a group and frees its resources. */
export function empty(group: Group): void {
  for (const child of [...group.children]) drop(child);
}

/** Takes an object out of its group and frees its resources. */
export function drop(object: Object3D): void {
  object.removeFromParent();
  const drawn = object as Partial<Mesh>;
  drawn.geometry?.dispose();
  const material = drawn.material;
  if (Array.isArray(material)) material.forEach((m) => m.dispose());
  else material?.dispose();
}
