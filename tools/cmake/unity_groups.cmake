# SPDX-License-Identifier: Apache-2.0
# Sources that are compiled together where LIELOW_UNITY is on, so that the headers they share are read once. Names
# of two files in one group must not clash; a file in no group is compiled by itself. Where a group doesn't compile
# for a clash of names, take one of the two files out of it.
function(lielow_unity_group target number)
    set(files ${ARGN})
    get_target_property(folder ${target} SOURCE_DIR)
    list(TRANSFORM files REPLACE ".+" "${folder}/\\0.cpp")
    set_source_files_properties(${files} TARGET_DIRECTORY ${target} PROPERTIES UNITY_GROUP ${number})
    set_target_properties(${target} PROPERTIES UNITY_BUILD ON UNITY_BUILD_MODE GROUP)
endfunction()

lielow_unity_group(lielow_sim 1
    agreement auger_spots border_flow catchments coarse_ground curve_number designs dew face_flow)
lielow_unity_group(lielow_sim 2
    descent drain_directions drain_down drain_layout drain_spacing drainage_ways edge_choice error_field
    extreme_fit)
lielow_unity_group(lielow_sim 3
    field_tests filling_rain fine_storm flat_drainage flow_line flow_paths flow_shares frost_exposure
    frost_years tile_levels)
lielow_unity_group(lielow_sim 4
    green_ampt ground_changes ground_tiles heat_sources hole_tests holes horizon_scan hours_below
    test_overlay)
lielow_unity_group(lielow_sim 5
    hollows hyetograph kill_curve land_cover line_cells net_longwave night_forcing night_map
    night_mixing)
lielow_unity_group(lielow_sim 6
    nested_hollows night_nest night_plan night_ring night_surface night_watch obstacle_changes passages
    penetrometer test_spots)
lielow_unity_group(lielow_sim 7
    night_wind priority_flood random_numbers sensitivity siting siting_fields soil soil_wetness)
lielow_unity_group(lielow_sim 8
    siting_evidence spanning_forest stack_dispatch stack_edges stack_ledger stack_parameters stack_setup
    stack_solver state_walk)
lielow_unity_group(lielow_sim 9
    soil_water stirred_column storm_fill storm_plan storm_soil sun surround)
lielow_unity_group(lielow_sim 10
    stage storm_flow tie_order tile_directions tile_upslope upslope wind_shelter)
lielow_unity_group(lielow_sim 11
    storm_map wind_erosion zonal)
lielow_unity_group(lielow_io 1
    archive cf_crs cover_rows crop_needs csv_table dem gdal_heights site_keys_sure)
lielow_unity_group(lielow_io 2
    crop_table fields file_fingerprint gdal_codes gdal_coverage gdal_position iso_time site_keys_storm)
lielow_unity_group(lielow_io 3
    drain_lines farm_outlines gdal_session gdal_vector gdal_vertical gdal_warp gpx hollow_layers
    input_files)
lielow_unity_group(lielow_io 4
    field_test_file gdal_outline land_cover library_versions line_file nearest_name netcdf_file
    number_text obstacles site_keys_water)
lielow_unity_group(lielow_io 5
    gdal_obstacle logger_record page_bytes people_units quantity rain_table raster remedy remedy_ground
    site_keys_tune)
lielow_unity_group(lielow_io 6
    ground_change_file remedy_rows result_grid result_raster result_shapes resume_folder site site_keys
    site_keys_reading)
lielow_unity_group(lielow_io 7
    site_compose site_keys_crop site_keys_survey site_keys_wind site_text site_value sites_gpkg
    soil_words)
lielow_unity_group(lielow_io 8
    site_keys_siting soil_columns soil_map soil_rows soil_survey spots staging summary)
lielow_unity_group(lielow_io 9
    site_keys_soil thumbnail toml_table tune_ranges vector_copy way_layers wide_ground)
lielow_unity_group(lielow_app 1
    archive_night batch_child batch_farm batch_journal batch_list batch_page bench_run
    report_verdict)
lielow_unity_group(lielow_app 2
    archive_storm batch_run bench_flood bench_ground bench_machine bench_report bench_stack bench_triad
    compare_site)
lielow_unity_group(lielow_app 3
    batch_figures compare_figures compare_ground compare_run compare_variants drain_cells drain_start
    ensemble_draws )
lielow_unity_group(lielow_app 4
    batch_tables ensemble_members flow_report html_text look_clues night_around night_crop part_storm)
lielow_unity_group(lielow_app 5
    compare_report night_flow night_hours night_loss night_setup night_surface night_times part_look
    part_siting)
lielow_unity_group(lielow_app 6
    night_spots part_drain progress read_ground reference_spot remedy_drains report_bundle
    report_remedies report_still sure_report)
lielow_unity_group(lielow_app 7
    part_night part_soil part_sure part_water report_data looks report_page report_places
    report_siting)
lielow_unity_group(lielow_app 8
    report_layers root_depth run_memory run_site run_table site_run site_soil site_soil_facts site_wind
    siting_words)
lielow_unity_group(lielow_app 9
    report_night siting_asks siting_report staged_classes stop text_table tune_files
    wide_run)
lielow_unity_group(lielow_app 10
    report_text tune_report tune_site tune_trial version water_storm water_ways)
