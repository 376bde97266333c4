/** Quotes, rates and the shop's own file as the server tells them. */
import type { Problem } from './types';

export interface QuoteSummary {
  currency: string;
  invented_prices: boolean;
  net: number;
  tax: number;
  total: number;
  weight_kg: number;
  labour_h: number;
}

export interface QuoteLine {
  group: string;
  what: string;
  basis: string;
  quantity: number;
  unit: string;
  unit_price: number;
  amount: number;
  source: string;
}

export interface Rate {
  table: string;
  key: string;
  what: string;
  unit: string;
  value: number;
  origin: string;
}

export interface Quote extends QuoteSummary {
  lines: QuoteLine[];
  direct: number;
  margin_percent: number;
  margin: number;
  tax_percent: number;
  rates: Rate[];
  own_extras: Extra[];
}

/** The shop's file of stock, saw, costs, prices and times. */
export interface Stock {
  text: string;
  version: number;
  problems: Omit<Problem, 'path'>[];
  rates: Rate[];
  currency: string;
}

/** A line of the job's own in its quote. */
export interface Extra {
  what: string;
  quantity: number;
  unit: string;
  price: number;
}
