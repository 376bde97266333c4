/** Types of the page's own that follow from those of the server. */
import type { Edit, SearchRequest } from './schema';

/** Anything that JSON can hold. */
export type Json = string | number | boolean | null | Json[] | { [key: string]: Json };
/** A place in the tree of a document. */
export type Path = Edit['path'];
/** How to search, whatever the version. */
export type SearchSettings = Omit<SearchRequest, 'version'>;
