"""One table: the least role that may open a page, by the page's name.

The owner may open everything. A helper works at the bench and the stall and sees no costs,
no takings and no settings. A stall sign-in sees the till and the count of one market day.
A page that stands nowhere here is open to nobody, and a test of the URL map says so.
"""

from socktrade.roles import Role

# Doors and machine answers, for which nobody signs in. Some check a secret of their own.
DOORS = frozenset(
    {
        "demo_door",
        "favicon",
        "health",
        "patterns:card_worker",
        "sales:calendar_feed",
        "sales:till_manifest",
        "sales:till_shell",
        "sales:till_worker",
        "sign_in",
        "sign_out",
        "stall_door",
        "start",
        "words",
        "demo_beside",
    }
)

# Pages that a phone asks by script: they tell a stranger to sign in themselves.
ANSWER_STRANGERS = frozenset(
    {
        "sales:till_acts",
        "sales:till_days",
        "sales:till_json",
    }
)

EVERYBODY = frozenset(
    {
        "act_undo",
        "glossary",
        "today",
    }
)

STALL = frozenset(
    {
        "sales:day_close",
        "sales:receipt",
        "sales:stall",
        "sales:stall_add",
        "sales:stall_asked",
        "sales:stall_back",
        "sales:stall_clear",
        "sales:stall_discount",
        "sales:stall_number",
        "sales:stall_price",
        "sales:stall_refund",
        "sales:stall_remove",
        "sales:stall_sales",
        "sales:stall_sell",
        "sales:till_acts",
        "sales:till_days",
        "sales:till_json",
    }
)

HELPER = frozenset(
    {
        "find",
        "log_string",
        "patterns:cylinder_list",
        "patterns:gauge_lines",
        "patterns:knee_socks",
        "patterns:learn_turns",
        "patterns:old_directions",
        "patterns:pattern_detail",
        "patterns:pattern_list",
        "patterns:pattern_plan",
        "patterns:row_card",
        "patterns:row_card_paper",
        "patterns:self_striping",
        "patterns:size_change",
        "patterns:size_chart",
        "patterns:size_remove",
        "patterns:size_run",
        "patterns:size_run_csv",
        "patterns:size_usual",
        "patterns:swatch_list",
        "patterns:version_compare",
        "patterns:will_it_fit",
        "production:basket_detail",
        "production:basket_list",
        "production:care_cards",
        "production:care_edit",
        "production:care_list",
        "production:care_new",
        "production:count_sheet",
        "production:load_detail",
        "production:load_list",
        "production:long_print",
        "production:long_print_go_on",
        "production:long_print_pdf",
        "production:long_print_stop",
        "production:lot_dark",
        "production:lot_detail",
        "production:lot_receive",
        "production:lot_story",
        "production:lot_take",
        "production:lot_weigh",
        "production:lot_weigh_each",
        "production:lot_wind",
        "production:mate_by_hand",
        "production:mating",
        "production:pair_content",
        "production:pair_detail",
        "production:pair_list",
        "production:pair_split",
        "production:price_board",
        "production:shelf_cards",
        "production:sock_back",
        "production:sock_content",
        "production:sock_detail",
        "production:sock_measure",
        "production:sock_note",
        "production:string_check",
        "production:string_detail",
        "production:string_list",
        "production:string_new",
        "production:string_resume",
        "production:string_slip",
        "production:string_slip_page",
        "production:tag_css",
        "production:tag_list",
        "production:tag_on",
        "production:tag_pdf",
        "production:tag_print",
        "production:tag_reprint",
        "production:tag_sheet_list",
        "production:tag_start",
        "production:yarn_enough",
        "production:yarn_list",
        "sales:day_detail",
        "sales:day_home",
        "sales:day_pack",
        "sales:day_pack_list",
        "sales:day_pack_numbers",
        "sales:day_tally",
        "sales:day_unpack",
        "sales:market_calendar",
        "sales:market_list",
        "sales:shelf_count",
        "sales:shelf_count_result",
        "sales:shelf_found",
        "sales:shelf_missing",
        "sales:shelf_scan",
    }
)

OWNER = frozenset(
    {
        "data",
        "data_backup",
        "data_export",
        "data_import",
        "data_rows",
        "data_template",
        "helper_add",
        "helper_end",
        "pass_add",
        "pass_end",
        "patterns:machine_habits",
        "people",
        "production:choice_drop",
        "production:lot_edit",
        "production:lot_new",
        "production:price_change",
        "production:price_list",
        "production:tag_habits",
        "production:yarn_edit",
        "production:yarn_new",
        "sales:calendar_renew",
        "sales:customers_csv",
        "sales:customers_json",
        "sales:day_cancel",
        "sales:day_cure",
        "sales:day_edit",
        "sales:day_found",
        "sales:day_open",
        "sales:day_paper",
        "sales:day_paper_stubs",
        "sales:day_plan",
        "sales:day_restore",
        "sales:day_sheet",
        "sales:day_slip",
        "sales:figures",
        "sales:make",
        "sales:make_csv",
        "sales:market_add",
        "sales:market_edit",
        "sales:market_tax",
        "sales:order_cancel",
        "sales:order_data",
        "sales:order_deposit",
        "sales:order_detail",
        "sales:order_erase",
        "sales:order_follow",
        "sales:order_hand_over",
        "sales:order_list",
        "sales:order_new",
        "sales:order_release",
        "sales:order_reserve",
        "sales:price_detail",
        "sales:prices",
        "sales:prices_csv",
        "sales:season",
        "sales:season_csv",
        "sales:season_design_end",
        "sales:season_end",
        "sales:season_sheet",
        "sales:sells",
        "sales:sells_by",
        "sales:sells_by_csv",
        "sales:sells_csv",
        "sales:sells_detail",
        "sales:sheets",
        "sales:shelf",
        "sales:sort_cure",
        "sales:sort_kept",
        "sales:sort_list",
        "sales:sort_settle",
        "sales:stock_csv",
        "sales:stock_sheet",
        "sales:takings_csv",
        "sales:takings_sheet",
        "session_end",
        "workshop",
        "yarn_low",
    }
)


def may_open(role: Role, page: str) -> bool:
    """Say whether somebody of this role may open a page."""
    if page in EVERYBODY or page in STALL:
        return True
    if page in HELPER:
        return role in (Role.OWNER, Role.HELPER)
    return page in OWNER and role == Role.OWNER


def named() -> frozenset[str]:
    """Return every page that the table names."""
    return DOORS | EVERYBODY | STALL | HELPER | OWNER
