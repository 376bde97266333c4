/** Types that the page derives from those of the server. */
import type { Edit, SearchRequest } from './schema';

/** Anything that JSON can hold. */
export type Json = string | number | boolean | null | Json[] | { [key: string]: Json };
/** A place in the tree of a document. */
export type Path = Edit['path'];
/** A search request without the version. */
export type SearchSettings = Omit<SearchRequest, 'version'>;
